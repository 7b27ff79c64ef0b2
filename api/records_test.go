package api_test

import (
	"time"

	"osier/model"
)

// What the tests send; all of it is invented.
const (
	question = `{"water":"quillmarsh-pit","start":"2026-11-26T08:00:00Z","hours":5,"group":"bream","angler":"rush","peg":"7"}`

	choice = `{"waters":["quillmarsh-pit","alder-mere"],"from":"2026-11-26","days":2,"hours":5,"group":"bream","angler":"rush"}`

	summary = `{"water":"quillmarsh-pit","angler":"rush","group":"bream","style":"summary",
		"start":"2026-11-20T08:00:00Z","end":"2026-11-20T13:00:00Z","breaks_min":30,"written_at":"2026-11-20T14:00:00Z","peg":"7",
		"bites":14,"line_bites":6,"fish":{"bream":5,"silver":null},"weight":{"lb":13,"oz":4,"how":"weighed"},
		"planned_feed":{"level":"even"},"water_temp":{"c":7.5,"instrument":true}}`

	hourly = `{"water":"quillmarsh-pit","angler":"moss","group":"silver","style":"hourly",
		"start":"2026-11-21T08:00:00Z","end":"2026-11-21T10:00:00Z","planned_feed":{"rate_g_h":300},
		"intervals":[
			{"start":"2026-11-21T08:00:00Z","end":"2026-11-21T09:00:00Z","casts":8,"bites":3,"fish":2},
			{"start":"2026-11-21T09:00:00Z","end":"2026-11-21T10:00:00Z","casts":7,"bites":5,"fish":4,"level":"Lean"}]}`

	fullLog = `{"water":"quillmarsh-pit","angler":"sedge","group":"bream","style":"full_log",
		"start":"2026-11-22T08:00:00Z","end":"2026-11-22T09:00:00Z","planned_feed":{"level":"Lean"},
		"casts":[
			{"in":"2026-11-22T08:00:00Z","out":"2026-11-22T08:12:00Z","fill_g":38,"outcome":"none"},
			{"in":"2026-11-22T08:15:00Z","out":"2026-11-22T08:26:00Z","fill_g":38,"outcome":"fish","bite_min":9.5,"group":"bream","fish_g":1450}]}`

	imported = `{"group":"silver","style":"summary","start":"2026-11-10T08:00:00Z","end":"2026-11-10T12:00:00Z","bites":9,"fish":{"silver":7},"planned_feed":{"level":"Lean"}}`

	csvFile = "water,angler,group,style,start,end,bites,fish_bream,planned_level\n" +
		"quillmarsh-pit,rush,bream,summary,2026-11-07 08:00,12:00,6,3,Even\n" +
		"quillmarsh-pit,rush,pike,summary,2026-11-08 08:00,12:00,6,3,Even\n"
)

func jobRun(id string) model.JobRun {
	return model.JobRun{ID: id, Job: "pull", StartedAt: now.Add(-time.Hour), EndedAt: model.Known(now), Counts: map[string]int{"stations": 3}}
}
