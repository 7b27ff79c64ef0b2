package page

import (
	"html/template"
	"strings"
	"time"

	"osier/model"
)

// dayView is one water on one day: a paragraph, a picture and a table.
type dayView struct {
	ID, Title     string
	Cautions      []cautionView   // what asks something of the reader, stops first
	Others        []model.Caution // what was not checked, and notes
	Paragraph     string
	Bars          template.HTML
	Caption       string
	Columns, Span int      // of the table, with and without the first
	Groups        []string // none where no hour may be fished
	Conditions    []named
	Feeding       []groupRow
	Expected      []groupRow
	Hours         []groupRow
	HoursText     []named
	Sessions      []named // which session the figures are for, and what stands behind them
	Confidence    []string
}

type cautionView struct {
	model.Caution
	When string
}

func viewDay(water, name string, d model.OutlookDay, zone *time.Location) dayView {
	v := dayView{
		ID: water + "-" + d.Date, Title: dateText(d.Date), Paragraph: afterCautions(d),
		Conditions: dayConditions(d.Conditions), Columns: max(2, 1+len(d.Groups)), Confidence: confidenceText(d.Confidence),
	}
	v.Span = v.Columns - 1
	v.Caption = name + ", " + v.Title + ", " + clockSpan(d.From, d.Until, zone)
	asking, others := splitCautions(d.Cautions)
	v.Others = others
	for _, level := range []model.CautionLevel{model.Stop, model.Care} {
		for _, c := range asking {
			if c.Level == level {
				v.Cautions = append(v.Cautions, cautionView{c, cautionHours(c, d, zone)})
			}
		}
	}
	for _, g := range d.Groups {
		v.Groups = append(v.Groups, groupWords(g.Group))
		v.Sessions = append(v.Sessions, named{groupWords(g.Group), clockSpan(g.From, g.From.Add(time.Duration(g.Hours*float64(time.Hour))), zone) + ". " + g.Evidence})
	}
	v.Feeding, v.Expected = feedingRows(d.Groups), expectedRows(d.Groups)
	v.Hours, v.HoursText = hourRows(d.Groups, zone)
	v.Bars = rangeBars(v.ID+"-bars", name+", "+v.Title, d.Groups)
	return v
}

// afterCautions is the paragraph without the cautions that it begins with: on a
// page they stand over it, in frames.
func afterCautions(d model.OutlookDay) string {
	rest := d.Paragraph
	for _, c := range d.Cautions {
		if c.Level == model.Stop || c.Level == model.Care {
			rest = strings.TrimPrefix(rest, c.Text+" ")
		}
	}
	return rest
}

func clockSpan(from, until time.Time, zone *time.Location) string {
	return from.In(zone).Format("15:04") + " to " + until.In(zone).Format("15:04")
}

// cautionHours are the hours of a caution within the day.
func cautionHours(c model.Caution, d model.OutlookDay, zone *time.Location) string {
	from, until := c.From, c.Until
	if from.Before(d.From) {
		from = d.From
	}
	if until.After(d.Until) {
		until = d.Until
	}
	if !until.After(from) {
		return ""
	}
	return clockSpan(from, until, zone)
}

func dateText(date string) string {
	at, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	return at.Format("Monday 2 January 2006")
}

// confidenceText says what lowers the confidence; nothing where nothing does.
func confidenceText(c model.Confidence) []string {
	if c.Level != "lowered" && c.Level != "low" {
		return nil
	}
	return append([]string{"Confidence is " + c.Level + ":"}, c.Because...)
}
