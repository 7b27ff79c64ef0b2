package metar_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/metar"
)

// The forms are those of WMO-No. 386, Manual on the GTS, attachment II-5 (from memory);
// figures invented.
func TestSplitBulletin(t *testing.T) {
	for _, row := range []struct {
		why, text string
		want      []string
	}{
		{
			"heading, wrapped reports, one heading word for all",
			"\x01\r\r\n776 \r\r\nSAUS70 KAAA 081400\r\r\nMETAR\r\r\nKXXX 081352Z 10015KT 10SM\r\r\n     25/16 A2967=\r\r\nKYYY 081353Z 20003KT\r\r\n     $=\r\r\n\x03\r\r\n",
			[]string{"METAR KXXX 081352Z 10015KT 10SM 25/16 A2967", "METAR KYYY 081353Z 20003KT $"},
		},
		{
			"the word stands at each report, and one differs",
			"000 \nSAEW AAAA 020100 RRG\nMETAR \nMETAR EGXX 020100Z CAVOK=\nSPECI EGYY 020107Z 0400 FG=\n",
			[]string{"METAR EGXX 020100Z CAVOK", "SPECI EGYY 020107Z 0400 FG"},
		},
		{
			"corrections, and the next heading ends them",
			"SAUK31 AAAA 020050 CCA\nMETAR COR\nEGXX 020050Z CAVOK=\nSPUK31 AAAA 020057\nSPECI\nEGYY 020057Z 0400 FG=",
			[]string{"METAR COR EGXX 020050Z CAVOK", "SPECI EGYY 020057Z 0400 FG"},
		},
		{
			"a lost sign at the end, and continuation at the margin",
			"METAR\nEGXX 020050Z 9999\nTEMPO 4000 SHRA\nEGYY 020050Z CAVOK\n",
			[]string{"METAR EGXX 020050Z 9999 TEMPO 4000 SHRA", "METAR EGYY 020050Z CAVOK"},
		},
		{
			"two reports on one line, and a list without heading",
			"EGXX 020050Z CAVOK= EGYY 020050Z 9999=\nEGZZ 020050Z NIL=\n",
			[]string{"EGXX 020050Z CAVOK", "EGYY 020050Z 9999", "EGZZ 020050Z NIL"},
		},
		{
			"what cannot be read is handed on, to be refused by name",
			"METAR\nQQQQ O81354Z AUTO 17027G37KT=\n",
			[]string{"METAR QQQQ O81354Z AUTO 17027G37KT"},
		},
		{"nothing", "\x01\r\n776 \r\n\x03", nil},
	} {
		if diff := cmp.Diff(row.want, metar.SplitBulletin(row.text)); diff != "" {
			t.Errorf("%s (-want +got)\n%s", row.why, diff)
		}
	}
}

func TestSplitBulletinOnRealBulletins(t *testing.T) {
	dir := filepath.Join(weatherDir, "bulletins")
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the shared weather data are not here: " + err.Error())
	}
	for name, want := range map[string]struct{ reports, readable int }{
		"collective.txt":  {14, 12}, // one time with a letter O, one station with a digit in front
		"collective2.txt": {35, 35},
		"first.txt":       {2, 2},
		"kawn.txt":        {3, 3},
	} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		reports := metar.SplitBulletin(string(text))
		readable := 0
		for _, report := range reports {
			if _, err := metar.Decode(report); err == nil {
				readable++
			}
		}
		if len(reports) != want.reports || readable != want.readable {
			t.Errorf("%s: %d reports, %d readable; want %v", name, len(reports), readable, want)
		}
	}
}
