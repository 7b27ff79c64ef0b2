package metar

import "strings"

// SplitBulletin takes a WMO bulletin apart into its reports, one string each,
// wrapped lines joined, without the "=" that ends them. A line that holds only
// METAR or SPECI (with COR for a correction) is the heading of the reports
// below it and is put in front of each that has no such word of its own.
// Transmission lines (control characters, sequence number, TTAAii CCCC
// ddhhmm) are dropped. A report whose "=" is missing ends where the next one
// begins. Text that is no bulletin gives its lines, which Decode then refuses.
func SplitBulletin(text string) []string {
	b := bulletin{}
	for line := range strings.Lines(text) {
		b.readLine(line)
	}
	b.endReport()
	return b.reports
}

// bulletin is what is known while its lines are read.
type bulletin struct {
	heading string   // METAR, SPECI, with COR; "" when none stands above
	groups  []string // of the report being read
	reports []string
}

func (b *bulletin) readLine(line string) {
	groups := groupsOf(line)
	switch {
	case len(groups) == 0:
		return
	case isTransmission(groups):
		b.endReport()
		b.heading = ""
		return
	case isHeading(groups):
		b.endReport()
		b.heading = strings.Join(groups, " ")
		return
	case startsReport(groups):
		b.endReport()
	}
	for _, group := range groups {
		before, _, ended := strings.Cut(group, "=")
		if before != "" {
			b.groups = append(b.groups, before)
		}
		if ended {
			b.endReport()
		}
	}
}

// endReport closes the report being read, if there is one.
func (b *bulletin) endReport() {
	if len(b.groups) == 0 {
		return
	}
	report := strings.Join(b.groups, " ")
	if b.heading != "" && !isReportWord(b.groups[0]) {
		report = b.heading + " " + report
	}
	b.reports = append(b.reports, report)
	b.groups = b.groups[:0]
}

func groupsOf(line string) []string {
	var groups []string
	s := scanner{text: line}
	for group := s.next(); group != ""; group = s.next() {
		groups = append(groups, group)
	}
	return groups
}

// isTransmission knows the lines that belong to the circuit: a number alone,
// or TTAAii CCCC ddhhmm with an optional mark of repetition.
func isTransmission(groups []string) bool {
	first := groups[0]
	if len(groups) == 1 {
		return len(first) <= 5 && leadingDigits(first) == len(first)
	}
	return len(groups) >= 3 && len(groups) <= 4 &&
		len(first) >= 4 && len(first) <= 6 && !isReportWord(first) &&
		isStation(groups[1]) && allDigits(groups[2], 6)
}

func isHeading(groups []string) bool {
	return isReportWord(groups[0]) && (len(groups) == 1 || len(groups) == 2 && groups[1] == "COR")
}

// startsReport says whether a line opens a report: a report word, or a station
// and a time.
func startsReport(groups []string) bool {
	if isReportWord(groups[0]) {
		return true
	}
	return len(groups) > 1 && isStation(groups[0]) && leadingDigits(groups[1]) == 6
}
