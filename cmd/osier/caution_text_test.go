package main

import (
	"strings"
	"testing"

	"osier/model"
)

func TestWhatWasNotCheckedForOneReasonStandsOnOneLine(t *testing.T) {
	var out strings.Builder
	cautionsText(&out, []model.Caution{
		{ID: "wind", Level: model.Care, Text: "Gusts to 15 m/s."},
		{ID: "heat", Level: model.NotChecked, Text: "Heat was not checked: no weather, from 07:00 to 11:00."},
		{ID: "ice", Level: model.NotChecked, Text: "Ice was not checked: no water, from 07:00 to 11:00."},
		{ID: "waves", Level: model.NotChecked, Text: "Waves were not checked: no weather, from 07:00 to 11:00."},
		{ID: "wind", Level: model.Note, Text: "A breeze from 07:00."},
		{ID: "wind", Level: model.Note, Text: "A breeze from 10:00."},
	})
	want := `  care: Gusts to 15 m/s.
  not checked: Heat, waves: no weather, from 07:00 to 11:00.
  not checked: Ice: no water, from 07:00 to 11:00.
  note: A breeze from 07:00.
`
	if out.String() != want {
		t.Errorf("got:\n%swant:\n%s", out.String(), want)
	}
}
