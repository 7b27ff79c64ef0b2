package main

import (
	"fmt"
	"io"
	"net/http"
	"os"
	"strings"
	"time"

	"osier/model"
)

type replayCmd struct {
	Dir    string `required:"" help:"Folder of recorded answers with a replay.json." placeholder:"DIR"`
	Listen string `default:"127.0.0.1:8087" help:"Address to serve on."`
}

// Help says more than the one line of the list of commands.
func (c *replayCmd) Help() string {
	return `A route of replay.json may carry a "fault": ` + strings.Join(faultKinds, ", ") + `.
"slow" takes "delay_ms", "429" may take "retry_after", "wrong_units" takes "replace", such as {"celsius": "K"}.

While it runs, the machine itself may set and mend faults, and see how often each route was asked:
  POST ` + faultPath + `  {"path": "/busy", "fault": "429", "retry_after": "60"}
  POST ` + faultPath + `  {"path": "/busy"}
  GET  ` + faultPath + "\n"
}

func (c *replayCmd) Run(a *app) error {
	if info, err := os.Stat(c.Dir); err != nil || !info.IsDir() {
		return model.Invalidf("dir", "give a folder that holds a replay.json", "%s is no folder", c.Dir)
	}
	handler, err := newReplay(os.DirFS(c.Dir), a.now)
	if err != nil {
		return err
	}
	l, err := listen(a.ctx, c.Listen)
	if err != nil {
		return err
	}
	address := "http://" + l.Addr().String()
	a.print(map[string]string{"replaying": c.Dir, "address": address}, func(out io.Writer) { fmt.Fprintf(out, "Replaying %s on %s\n", c.Dir, address) })
	server := &http.Server{Handler: handler, ReadHeaderTimeout: 5 * time.Second}
	return serveUntil(a.ctx, 0, server, func() error { return server.Serve(l) })
}
