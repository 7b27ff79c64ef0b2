package main

import (
	"time"

	"osier/jobs"
	"osier/jobs/feed"
	"osier/model"
	"osier/model/store"
)

// feedFlags say how feeds are asked; every command that may ask one takes them.
type feedFlags struct {
	Contact string `help:"Address of whoever runs this, shown to the feeds; required before any live pull." env:"OSIER_CONTACT" placeholder:"MAIL"`
	Feeds   string `help:"Ask this address in place of every feed's own, such as a replay on loopback." env:"OSIER_FEEDS" placeholder:"URL"`
}

// application is how feeds see this program.
const application = "osier/0.1"

// puller makes the stage that asks the feeds.
func (a *app) puller(f feedFlags, db *store.DB) (*jobs.Puller, error) {
	options := feed.Options{Application: application, Contact: f.Contact, Base: f.Feeds, Transport: a.feeds, Now: a.now}
	if f.Feeds != "" {
		options.Spacing = time.Millisecond // a replay need not be spared
	}
	client, err := feed.New(options)
	if err != nil {
		if f.Feeds != "" {
			return nil, model.Invalidf("feeds", "give scheme and host only, such as http://127.0.0.1:8087", "%v", err)
		}
		return nil, model.Invalidf("contact", "give --contact MAIL or set OSIER_CONTACT", "%v", err)
	}
	return &jobs.Puller{Store: db, Client: client, Now: a.now, Log: a.log}, nil
}
