package metar_test

import (
	"fmt"
	"maps"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/metar"
	"osier/model"
)

// summary is a report as short texts, "" for what is not known, so that a
// table can state what it is about and nothing else.
func summary(r metar.Report) map[string]string {
	s := map[string]string{
		"at":     fmt.Sprintf("%02d%02d%02d", r.Day, r.Hour, r.Minute),
		"air":    known(r.AirC, 1),
		"dew":    known(r.DewC, 1),
		"wind":   known(r.WindMps, 2),
		"gust":   known(r.GustMps, 2),
		"qnh":    known(r.QNHHPa, 1),
		"slp":    known(r.SeaLevelHPa, 1),
		"wx":     strings.Join(r.Weather, "+"),
		"recent": strings.Join(r.Recent, "+"),
		"said":   string(r.ThunderReported()),
		"ts":     string(r.Thunder()),
		"flags":  flags(r),
	}
	if r.WindFromDeg.Known {
		s["from"] = strconv.Itoa(r.WindFromDeg.Value)
	}
	if r.CloudOktas.Known {
		s["oktas"] = strconv.Itoa(r.CloudOktas.Value)
	}
	if r.Tendency.Known {
		s["trend"] = fmt.Sprintf("%d:%+.1f", r.Tendency.Value.Code, r.Tendency.Value.ChangeHPa)
	}
	return s
}

func known[T ~float64](m model.Maybe[T], digits int) string {
	if !m.Known {
		return ""
	}
	return strconv.FormatFloat(float64(m.Value), 'f', digits, 64)
}

func flags(r metar.Report) string {
	var set []string
	for _, f := range []struct {
		name string
		on   bool
	}{
		{"auto", r.Automatic},
		{"cor", r.Correction},
		{"nil", r.Nil},
		{"whole", r.WholeHPa},
		{"tsno", r.ThunderSensorOff},
		{"wxno", r.WeatherSensorOff},
		{"$", r.Maintenance},
		{"suspect", r.Suspect},
	} {
		if f.on {
			set = append(set, f.name)
		}
	}
	return strings.Join(set, ",")
}

// parse reads "key=value key=value"; a key with nothing behind it must be
// missing from the report.
func parse(text string) map[string]string {
	m := map[string]string{}
	for _, field := range strings.Fields(text) {
		key, value, _ := strings.Cut(field, "=")
		m[key] = value
	}
	return m
}

// decode fails the test when the report is refused.
func decode(t *testing.T, raw string) metar.Report {
	t.Helper()
	r, err := metar.Decode(raw)
	if err != nil {
		t.Fatalf("%s: %v", raw, err)
	}
	return r
}

// wholeReports are decoded in full: every value that is not named must be
// missing. "seen" is a form that real reports have, with invented figures.
var wholeReports = []struct{ source, raw, want string }{
	{
		"FMH-1 (1995) ch. 12, sample report",
		"METAR KABC 121755Z AUTO 21016G24KT 180V240 1SM R11/P6000FT -RA BR BKN015 OVC025 06/04 A2990 RMK AO2 PK WND 20032/25 WSHFT 1715 VIS 3/4V1 1/2 VIS 3/4 RWY11 RAB07 CIG 013V017 CIG 017 RWY11 PRESFR SLP125 P0003 60009 T00640036 10066 21012 58033 TSNO $",
		"at=121755 air=6.4 dew=3.6 from=210 wind=8.23 gust=12.35 qnh=1012.5 slp=1012.5 wx=-RA+BR oktas=8 trend=8:-3.3 said=no flags=auto,tsno,$",
	},
	{
		"WMO-No. 306 FM 15, example",
		"METAR YUDO 221630Z 24015KMH 0600 R12/1000U FG DZ SCT010 OVC020 17/16 Q1018 BECMG TL1700 0800 FG BECMG AT1800 9999 NSW=",
		"at=221630 air=17.0 dew=16.0 from=240 wind=4.17 qnh=1018.0 wx=FG+DZ oktas=8 said=no ts=no flags=whole",
	},
	{
		"WMO-No. 306 FM 16, example",
		"SPECI YUDO 151115Z 05025G37KT 3000 1200NE +TSRA BKN005CB 25/22 Q1008 TEMPO TL1200 0600 BECMG AT1200 8000 NSW NSC=",
		"at=151115 air=25.0 dew=22.0 from=50 wind=12.86 gust=19.03 qnh=1008.0 wx=+TSRA oktas=6 said=yes ts=yes flags=whole",
	},
	{
		"seen: British, military colour, forecast gust",
		"EGXX 110850Z 23013KT 9999 -RADZ SCT009 BKN016 11/08 Q1027 GRN TEMPO 23018G32KT 4000 TSRA YLO1",
		"at=110850 air=11.0 dew=8.0 from=230 wind=6.69 qnh=1027.0 wx=-RADZ oktas=6 said=no ts=no flags=whole",
	},
	{
		"seen: British automatic, cloud without type",
		"METAR EGYY 310120Z AUTO 19004KT 9000 NCD M02/M03 Q1031=",
		"at=310120 air=-2.0 dew=-3.0 from=190 wind=2.06 qnh=1031.0 oktas=0 said=no ts=no flags=auto,whole",
	},
	{
		"seen: Russian, m/s, runway state, QFE",
		"UUZZ 180730Z 18008G14MPS 4000 -SHSN SCT010 BKN016CB OVC066 M02/M04 Q0999 1929//41 TEMPO 1000 SHSN RMK QFE740/0987",
		"at=180730 air=-2.0 dew=-4.0 from=180 wind=8.00 gust=14.00 qnh=999.0 wx=-SHSN oktas=8 said=no ts=no flags=whole",
	},
	{
		"seen: Canadian, sea-level pressure, correction",
		"CYXX 180700Z CCA 00000KT 15SM FEW020 SCT070 M29/M32 A3010 RMK SC1AS0 SLP197",
		"at=180700 air=-29.0 dew=-32.0 wind=0.00 qnh=1019.3 slp=1019.7 oktas=4 said=no ts=no flags=cor",
	},
	{
		"seen: Japanese, Q in the body, A in the remarks",
		"RJXX 180714Z 34009KT 300V020 9999 -SHGSSN FEW005 BKN020 01/M03 Q1024 RMK 1ST005 5CU020 A3026",
		"at=180714 air=1.0 dew=-3.0 from=340 wind=4.63 qnh=1024.0 wx=-SHGSSN oktas=6 said=no ts=no flags=whole",
	},
	{
		"seen: thunder in the vicinity, storm ended",
		"KXXX 132056Z 27014G26KT 10SM VCTS SCT045CB BKN080 28/21 A2984 RMK AO2 PK WND 28033/2031 TSB12E41 SLP101 T02830211 55011",
		"at=132056 air=28.3 dew=21.1 from=270 wind=7.20 gust=13.38 qnh=1010.5 slp=1010.1 wx=VCTS oktas=6 trend=5:-1.1 said=vicinity ts=vicinity",
	},
	{
		"seen: thunder within the hour only in the remarks",
		"KXXX 132156Z AUTO 31006KT 10SM FEW060 24/20 A2990 RMK AO2 RAB02TSB0059E30 SLP122 T02440200",
		"at=132156 air=24.4 dew=20.0 from=310 wind=3.09 qnh=1012.5 slp=1012.2 oktas=2 said=no ts=recent flags=auto",
	},
	{
		"seen: tropical, recent thunder",
		"WBXX 180730Z 27005KT 230V330 7000 -RA FEW014CB BKN020 26/24 Q1009 RETSRA NOSIG",
		"at=180730 air=26.0 dew=24.0 from=270 wind=2.57 qnh=1009.0 wx=-RA recent=TSRA oktas=6 said=no ts=recent flags=whole",
	},
	{
		"seen: offshore, sea state",
		"EHXX 221855Z AUTO 17006KT 9999 // ////// 16/14 Q1014 RE// W16/H6",
		"at=221855 air=16.0 dew=14.0 from=170 wind=3.09 qnh=1014.0 said=no flags=auto,whole,wxno",
	},
	{"seen: nothing measured", "SCXX 230000Z AUTO /////KT ///V/// //// // ////// ///// Q////", "at=230000 flags=auto,wxno"},
	{"seen: no report", "NCXX 180700Z AUTO NIL", "at=180700 flags=auto,nil"},
	{
		"seen: the pressure alone, silent about thunder",
		"KXXX 180753Z AUTO A3013 RMK AO2 SLPNO $",
		"at=180753 qnh=1020.3 flags=auto,$",
	},
	{
		"seen: polar, no dew point, a second wind in the remarks",
		"NZXX 222350Z 09008KT 9999 IC FEW060 M55/ A2831 RMK CLN AIR 08010KT ALL WNDS GRID",
		"at=222350 air=-55.0 from=90 wind=4.12 qnh=958.7 wx=IC oktas=2 said=no ts=no",
	},
	{
		"seen: footer and modem text in the report",
		"KXXX 221855Z 27008KT 7SM SCT022 BKN040 20/ NO CARRIER RING CONNECT 57600 KYYY 221856 METAR KZZZ 36020KT 30/10 A2900",
		"at=221855 air=20.0 from=270 wind=4.12 oktas=6 said=no ts=no",
	},
	{
		"seen: broken lines and a carriage return",
		"METAR LFXX 020100Z 19004KT 9999 VCSH SCT050 16/12\r\r\n      Q1010 NOSIG=",
		"at=020100 air=16.0 dew=12.0 from=190 wind=2.06 qnh=1010.0 wx=VCSH oktas=4 said=no ts=no flags=whole",
	},
}

func TestDecodeWholeReports(t *testing.T) {
	for _, row := range wholeReports {
		want := parse(row.want)
		got := summary(decode(t, row.raw))
		maps.DeleteFunc(got, func(_, v string) bool { return v == "" })
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s\n%s\n(-want +got)\n%s", row.source, row.raw, diff)
		}
	}
}

func TestDecodeRefusesWhatIsNoMETAR(t *testing.T) {
	for _, row := range []struct{ source, raw, says string }{
		{"a SYNOP", "AAXX 11124 78859 12480 60000 10239", "station"},
		{"seen: a ship-shore text in a METAR file", "UTO8 M M M 143/-16/-18/3508/M/ SOG 07 2014 99MM", "time"},
		{"nothing", "", "station"},
		{"only the type", "METAR COR", "station"},
		{"NIL for the whole bulletin", "NIL=", "station"},
		{"seen: a station without a report or a time", "METAR CYSY NIL=", "CYSY"},
		{"the station begins with a digit", "1QQQ 081354Z AUTO 17027G37KT", "station"},
		{"the letter O for zero", "QQQQ O81354Z AUTO 17027G37KT", "time"},
		{"a digit of the time is lost", "SAOR 01123Z 23005KT", "time"},
		{"day 32", "EGXX 320000Z 23005KT", "day 32"},
		{"day 0", "EGXX 000000Z 23005KT", "day 0"},
		{"hour 24", "EGXX 012400Z 23005KT", "hour 24"},
		{"minute 60", "EGXX 012360Z 23005KT", "minute 60"},
		{"a page of HTML", "<html><body>EGXX 012300Z</body></html>", "station"},
	} {
		_, err := metar.Decode(row.raw)
		if err == nil {
			t.Errorf("%s: %q was taken", row.source, row.raw)
			continue
		}
		if model.CodeOf(err) != model.Invalid || !strings.Contains(err.Error(), row.says) || len(err.Error()) > 200 {
			t.Errorf("%s: got %q (%s), want an invalid input that names %s", row.source, err, model.CodeOf(err), row.says)
		}
	}
}

// The NWS API may leave gust and thunder out of its JSON; the raw report has
// them (weather reference, section 10).
func TestObservationConvertsOnceAndKeepsTheRawReport(t *testing.T) {
	at := time.Date(2022, 10, 22, 18, 56, 0, 0, time.UTC)
	raw := "KXXX 221856Z COR 36012G20KT 10SM -TSRA FEW030 BKN050CB 24/20 A2992 RMK AO2 SLP130 T02440200 $"
	got := decode(t, raw+"=").Observation(at, "awc")
	want := model.Observation{
		Station: "KXXX", Source: "awc", At: at,
		AirC: model.Known(model.Celsius(24.4)), DewC: model.Known(model.Celsius(20)),
		WindMps:     model.Known(model.MetresPerSecond(12 * 1852.0 / 3600)),
		WindFromDeg: model.Known(model.Degrees(0)),
		GustMps:     model.Known(model.MetresPerSecond(20 * 1852.0 / 3600)),
		QNHHPa:      model.Known(model.Hectopascals(29.92 * 33.86388640341)),
		SeaLevelHPa: model.Known(model.Hectopascals(1013)),
		CloudOktas:  model.Known(6), Thunder: model.ThunderNow,
		Corrected: true, LowTrust: true, Raw: raw,
	}
	close := cmp.Comparer(func(a, b model.MetresPerSecond) bool { return a-b < 1e-9 && b-a < 1e-9 })
	if diff := cmp.Diff(want, got, close); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}
