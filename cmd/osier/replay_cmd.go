package main

import (
	"fmt"
	"net/http"
	"os"
	"time"

	"osier/model"
)

type replayCmd struct {
	Dir    string `required:"" help:"Folder of recorded answers with a replay.json." placeholder:"DIR"`
	Listen string `default:"127.0.0.1:8087" help:"Address to serve on."`
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
	fmt.Fprintf(a.stdout, "Replaying %s on http://%s\n", c.Dir, l.Addr())
	server := &http.Server{Handler: handler, ReadHeaderTimeout: 5 * time.Second}
	return serveUntil(a.ctx, server, func() error { return server.Serve(l) })
}
