package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"

	"osier/model"
)

// faultPath is where the faults of a running replay are set and its requests
// counted, by whoever sits at the same machine:
//
//	GET   how often each route was asked, and what is wrong with it
//	POST  {"path": "/busy", "fault": "429", "retry_after": "60"}
//	      sets what is wrong with all routes of a path, {"path": "/busy"} mends
//	      them; answers as GET does
const faultPath = "/-/fault"

// faultSetting is the body of a POST to faultPath.
type faultSetting struct {
	Path string `json:"path"`
	faultText
}

// routeCount is one route in what faultPath answers.
type routeCount struct {
	Path  string `json:"path"`
	Asked int    `json:"asked"`
	faultText
}

func (p *replay) serveFaults(w http.ResponseWriter, r *http.Request) {
	if host, _, err := net.SplitHostPort(r.RemoteAddr); err != nil || !net.ParseIP(host).IsLoopback() {
		p.refuse(w, http.StatusForbidden, "faults are set from the machine itself")
		return
	}
	switch r.Method {
	case http.MethodGet:
	case http.MethodPost:
		if err := p.setFrom(http.MaxBytesReader(w, r.Body, 64<<10)); err != nil {
			p.refuse(w, http.StatusBadRequest, err.Error())
			return
		}
	default:
		w.Header().Set("Allow", "GET, POST")
		p.refuse(w, http.StatusMethodNotAllowed, r.Method+" is not answered; faults are read with GET and set with POST")
		return
	}
	body, err := json.Marshal(map[string][]routeCount{"routes": p.counts()})
	if err != nil {
		p.refuse(w, http.StatusInternalServerError, err.Error())
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(body) // who hung up does not want it
}

func (p *replay) setFrom(body io.Reader) error {
	text, err := io.ReadAll(body)
	if err != nil {
		return fmt.Errorf("read the fault: %w", err)
	}
	var s faultSetting
	if err := decodeStrictly(text, &s); err != nil {
		return model.Invalidf("", "the fields are path, fault, delay_ms, retry_after and replace", "%v", err)
	}
	return p.setFault(s.Path, s.faultText)
}

// setFault sets what is wrong with all routes of a path, or with none of them
// where it cannot befall each.
func (p *replay) setFault(path string, f faultText) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	var of []*replayRoute
	var faults []error
	for i, route := range p.routes {
		if route.path != path {
			continue
		}
		of = append(of, route)
		if err := f.check(route); err != nil {
			faults = append(faults, fmt.Errorf("route %d: %w", i+1, err))
		}
	}
	if len(of) == 0 {
		return model.Invalidf("path", "give the path of a route in "+replayFile, "no route has the path %q", path)
	}
	if len(faults) > 0 {
		return errors.Join(faults...)
	}
	for _, route := range of {
		route.befall(f)
	}
	return nil
}

func (p *replay) counts() []routeCount {
	p.mu.Lock()
	defer p.mu.Unlock()
	out := make([]routeCount, len(p.routes))
	for i, route := range p.routes {
		out[i] = routeCount{Path: route.path, Asked: route.asked, faultText: route.fault}
	}
	return out
}
