package main

import "osier/model"

// demoAngler is one invented member and the habits that shape the records.
type demoAngler struct {
	handle  string
	style   model.Style
	pounds  bool       // weighs in pounds and ounces
	stints  []stint    // when, in months from the year's beginning
	waters  [3]float64 // how often at each
	day     []int      // weekdays, Sunday 0; none for any
	morning bool       // begins with the light
	winter  float64    // how much keener on water under 8 C
	bias    float64    // ln of the planned rate over the trade's
	cold    float64    // the same under 8 C
	reads   bool       // carries a thermometer
	rounds  bool       // to fives and to whole pounds
	blanks  float64    // the month from which blanks are written down
}

// stint is a number of outings over some months.
type stint struct {
	from, until float64
	outings     int
}

// demoAnglers are the members of trade pack section 7. The numbers of outings
// are our choice: about 210 with the matches.
var demoAnglers = []demoAngler{
	{handle: "RJ", style: model.FullLog, stints: []stint{{0, 12, 22}}, waters: [3]float64{0.7, 0.2, 0.1}, winter: 1, bias: -0.1, cold: -0.1, reads: true},
	{handle: "oona", style: model.FullLog, stints: []stint{{4, 12, 16}}, waters: [3]float64{0.4, 0.4, 0.2}, winter: 1, bias: -0.1, cold: -0.1, reads: true},
	{handle: "tolly", style: model.Hourly, stints: []stint{{0, 12, 10}}, waters: [3]float64{0.45, 0.35, 0.2}, day: []int{6}, winter: 1, bias: 0.2, cold: 0.2},
	{handle: "DMK", style: model.Hourly, stints: []stint{{0, 12, 24}}, waters: [3]float64{0.42, 0.46, 0.12}, day: []int{1, 2, 3, 4, 5}, morning: true, winter: 1, bias: -0.1, cold: -0.1, reads: true},
	{handle: "sedge9", style: model.Hourly, stints: []stint{{0, 8, 14}}, waters: [3]float64{0.3, 0.45, 0.25}, winter: 1, bias: -0.1, cold: -0.1},
	{handle: "VP", style: model.Summary, pounds: true, rounds: true, stints: []stint{{0, 12, 18}}, waters: [3]float64{0.5, 0.3, 0.2}, winter: 1},
	{handle: "marlo", style: model.Summary, pounds: true, stints: []stint{{0, 12, 38}}, waters: [3]float64{0.5, 0.35, 0.15}, winter: 6, bias: -0.1, cold: 0.8},
	{handle: "quill2", style: model.Summary, pounds: true, stints: []stint{{0, 5, 37}, {5, 12, 4}}, waters: [3]float64{0.33, 0.57, 0.1}, winter: 1, bias: -0.1, cold: -0.1, blanks: 5},
}

// target is what is fished for at a water: mostly what it is known for.
func target(s *demoStream, w model.Water) model.Group {
	if s.uniform() < 0.85 {
		return w.Groups[0]
	}
	return w.Groups[1]
}
