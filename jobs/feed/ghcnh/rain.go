package ghcnh

import "osier/model"

// rainPeriod is a depth of rain and the time over which it was gathered.
type rainPeriod struct {
	element
	overH float64
}

// rainPeriods are the columns of rain, the shortest time first.
var rainPeriods = []rainPeriod{
	{rainOver("precipitation"), 1},
	{rainOver("precipitation_3_hour"), 3},
	{rainOver("precipitation_6_hour"), 6},
	{rainOver("precipitation_9_hour"), 9},
	{rainOver("precipitation_12_hour"), 12},
	{rainOver("precipitation_15_hour"), 15},
	{rainOver("precipitation_18_hour"), 18},
	{rainOver("precipitation_21_hour"), 21},
	{rainOver("precipitation_24_hour"), 24},
}

func rainOver(name string) element { return element{name, 0, 999.8, "mm"} }

func rainNames(periods []rainPeriod) []string {
	var names []string
	for _, p := range periods {
		names = append(names, p.name)
	}
	return names
}

// rain reads the depth of the shortest period that is given, since it says most
// about the hour.
func (r *row) rain() model.Maybe[model.Rain] {
	for _, period := range rainPeriods {
		if mm, ok := r.depth(period.element); ok {
			return model.Known(model.Rain{Mm: model.Millimetres(mm), OverH: period.overH})
		}
	}
	return model.Maybe[model.Rain]{}
}

// depth reads one column of rain. The measurement code rules over the figure:
// 9 is missing though 0.0 stands beside it, 2 (of some sources T) is a trace,
// less than can be measured. No code and 3 are depths, E is an estimate. The
// others are sums begun, ended, deleted or assumed, and no depth of this period.
func (r *row) depth(e element) (float64, bool) {
	entry := r.entry(e.name)
	switch entry.code() {
	case "2", "T":
		usable, suspect := entry.trust()
		r.suspect = r.suspect || usable && suspect
		return 0, usable
	case "", "3":
		return r.value(e)
	case "E":
		mm, ok := r.value(e)
		r.suspect = r.suspect || ok
		return mm, ok
	}
	return 0, false
}
