package metar_test

import "testing"

// heading stands before the groups of the tables below.
const heading = "EGXX 180750Z "

// checkParts decodes each text and holds the named parts against it.
func checkParts(t *testing.T, rows []part) {
	t.Helper()
	for _, row := range rows {
		got := summary(decode(t, heading+row.text))
		for key, want := range parse(row.want) {
			if got[key] != want {
				t.Errorf("%s\n%s: %s is %q, want %q", row.what, row.text, key, got[key], want)
			}
		}
	}
}

type part struct{ what, text, want string }

// The rows follow the table of the body in the weather reference, section 6;
// the forms were seen in real reports.
func TestBodyOddities(t *testing.T) {
	checkParts(t, []part{
		{"calm has a speed and no direction", "00000KT 9999", "wind=0.00 from="},
		{"360 is north", "36008KT", "wind=4.12 from=360"},
		{"000 with a speed is no direction", "00008KT", "wind=4.12 from="},
		{"a three-figure speed", "270110KT", "wind=56.59 from=270"},
		{"metres per second", "18008G11MPS", "wind=8.00 gust=11.00"},
		{"kilometres per hour", "18036KMH", "wind=10.00"},
		{"variable", "VRB02KT", "wind=1.03 from="},
		{"variable above 3 kt", "VRB15KT", "wind=7.72 from="},
		{"variable with a gust", "VRB06G12KT", "wind=3.09 gust=6.17 from="},
		{"at least 99 kt is the bound", "270P99KT", "wind=50.93"},
		{"at least 49 m/s in the gust", "27030GP49MPS", "wind=30.00 gust=49.00"},
		{"slashes for both", "/////KT", "wind= from="},
		{"slashes for the direction", "///05KT", "wind=2.57 from="},
		{"slashes for the speed", "280//KT", "wind= from=280"},
		{"slashes for the gust", "32020G//KT", "wind=10.29 from=320 gust="},
		{"no wind is missing, not calm", "10SM OVC032 06/M01", "wind= from= air=6.0"},
		{"a lost digit", "1508G20KT", "wind= from= gust="},
		{"a lost unit", "11028T", "wind= from="},
		{"no such direction", "37010KT", "wind= from="},
		{"no such speed", "270999KT", "wind= from=270"},
		{"estimated", "E26006KT", "wind=3.09 from=260"},
		{"text stuck to the wind", "00000KTBCAVOK", "wind="},
		{"wind of the runways after the pressure", "02011KT 16/09 Q1029 RS01011KT 30030KT", "wind=5.66 from=20"},
		{"no wind, but one of a runway", "9999 16/09 Q1029 30030KT", "wind= from="},
		{"a second wind before the temperature", "02011KT 30030KT 16/09", "wind=5.66"},
		{"variation is not the mean", "23019KT 210V270", "from=230"},
		{"variation in slashes", "23019KT ///V///", "from=230"},
		{"gust beyond belief is kept and flagged", "07007G130KT", "wind=3.60 gust=66.88 flags=suspect"},
		{"gust below the mean is kept and flagged", "07020G10KT", "gust=5.14 flags=suspect"},

		{"visibility in parts of a mile", "27005KT 2 1/2SM BR OVC005 10/09 A2992", "air=10.0 wx=BR"},
		{"visibility below a quarter mile", "27005KT M1/4SM FG 10/09 A2992", "air=10.0 wx=FG"},
		{"visibility with a blank", "27005KT 10 SM FEW250 31/06 A2952", "air=31.0 dew=6.0"},
		{"visibility by direction", "27005KT 8000 3000SE VCTS 19/12 Q1024", "wx=VCTS ts=vicinity"},
		{"visibility without direction", "27005KT 0800NDV FG 19/12 Q1024", "wx=FG"},
		{"visibility signs", "27005KT P6000 M0400 15KM ////SM //// 19/12 Q1024", "air=19.0 wx="},
		{"visibility stuck to weather", "27005KT 1800HZ NSC 20/13 Q1016", "wx=HZ"},
		{"visibility stuck to cloud", "27005KT 9999FEW023 32/25 Q1009", "oktas=2"},

		{"CAVOK", "27005KT CAVOK 04/02 Q1024", "oktas=0 ts=no"},
		{"CAVOK misspelt", "27005KT CQVOK 22/04 Q1011", "oktas=0 air=22.0"},
		{"runway groups are nothing", "R24/P6000FT R05/0500/ R21/1///// R23///// R16/1100 R09/D R/SNOCLO 88CLRD70 1929//41 07/07 Q1019", "air=7.0 dew=7.0 qnh=1019.0"},
		{"eight digits are no pressure", "06/04 19190060 Q1001", "qnh=1001.0"},

		{"nothing to say of the weather", "AUTO 27005KT 9999 // BKN020 10/09 Q1010", "wx= said=no ts= flags=auto,whole,wxno"},
		{"light thunder in the vicinity", "27005KT -VCTSRA SCT009 23/23 A2991", "wx=-VCTSRA ts=vicinity"},
		{"thunder and its showers apart", "27005KT -SHRAGS TS FEW019 04/M01 Q0993", "wx=-SHRAGS+TS ts=yes"},
		{"four groups", "27005KT +FC +TSRA BR SQ SCT005 23/19 A3003", "wx=+FC++TSRA+BR+SQ ts=yes"},
		{"words after the pressure are no weather", "31010KT 8000 FEW015 32/25 Q1007 CB AND RA TO S + SW", "wx="},
		{"cumulonimbus alone is no thunder", "27005KT FEW017CB BKN040TCU 31/26 Q1008", "ts=no oktas=6"},
		{"two signs", "27005KT +-RA 31/26 Q1008", "wx="},
		{"a descriptor alone is no weather", "27005KT BL 31/26 Q1008", "wx="},

		{"cloud with a kind of cloud", "27005KT FEW005SC SCT010ST 01/01", "oktas=4"},
		{"estimated cloud", "27005KT BKNE019 07/06", "oktas=6"},
		{"cloud without an amount", "27005KT ///TCU ///CB ///015/// 07/06", "oktas= air=7.0"},
		{"a digit too many", "27005KT SCT0017 22/20", "oktas=4"},
		{"height unknown", "27005KT OVC/// 22/20", "oktas=8"},
		{"sky hidden", "27005KT VV/// 22/20", "oktas=8"},
		{"slashes for all of it", "27005KT ////// 22/20", "oktas= air=22.0"},
		{"no cloud", "27005KT SKC 22/20", "oktas=0"},
		{"the highest cover of three", "27005KT FEW010 OVC020 BKN015 22/20", "oktas=8"},

		{"M00 is zero and has no sign", "M00/M00 Q0993", "air=0.0 dew=0.0"},
		{"minus", "M13/M15", "air=-13.0 dew=-15.0"},
		{"dew point missing", "24/ Q1010", "air=24.0 dew= qnh=1010.0"},
		{"dew point missing below zero", "M55/ A2831", "air=-55.0 dew="},
		{"dew point reduced to its sign", "32/M A2831", "air=32.0 dew="},
		{"dew point in slashes", "23/// Q1013", "air=23.0 dew="},
		{"both in slashes", "///// Q1013", "air= dew= qnh=1013.0"},
		{"both in X", "XX/XX Q////", "air= dew= qnh="},
		{"a dew point alone", "NCD ///47 Q1013", "air= dew= qnh=1013.0"},
		{"an old minus", "27/MS07 Q1021", "air=27.0 dew=-7.0"},
		{"a digit too many", "28/222 Q1009", "air=28.0 dew= qnh=1009.0"},
		{"pressure stuck on", "30/26Q1007", "air=30.0 dew=26.0 qnh=1007.0"},
		{"no such temperature", "99/98 Q1007", "air= dew="},
		{"the first one counts", "11/09 12/34 Q1007", "air=11.0 dew=9.0"},
		{"dew point above the temperature is flagged", "14/16 Q1010", "air=14.0 dew=16.0 flags=whole,suspect"},
		{"temperature stuck to the cloud cannot be read for certain", "FEW03027/20 Q1013", "air= dew= qnh=1013.0"},

		{"hectopascals", "Q0987", "qnh=987.0 flags=whole"},
		{"inches", "A2959", "qnh=1002.0 flags="},
		{"Q goes before A", "Q1009 A2981", "qnh=1009.0 flags=whole"},
		{"Q goes before A, wherever it stands", "A2981 Q1009", "qnh=1009.0 flags=whole"},
		{"five digits", "A30332", "qnh="},
		{"a blank inside", "Q10 10", "qnh="},
		{"slashes", "Q//// A////", "qnh="},
		{"two units in one group", "Q1021/A30.15", "qnh=1021.0"},
		{"with a point", "Q1022.3/30.18", "qnh="},
		{"no such pressure", "Q0849 A3300", "qnh="},
		{"improbable: kept and flagged", "A2543", "qnh=861.2 flags=suspect"},
		{"pressure at the aerodrome", "QFE740/0987", "qnh="},
		{"pressure at the aerodrome, two words", "QFE 871.6", "qnh="},
		{"cloud height in the Q code", "QBB150", "qnh="},
		{"another reduction", "Q//// QFF1008", "qnh="},
		{"a number without a letter", "32/25 1007", "qnh="},

		{"several recent groups", "27005KT Q1003 RESHRA REGR R27/290045 TEMPO 1000 TSRA", "recent=SHRA+GR ts=no"},
		{"recent but unknown", "Q1012 RE// W16/H6", "recent="},
		{"RED is a colour", "Q1001 RED 22010KT 1000 DZRA", "recent= wx="},
		{"recent thunder", "27005KT 28/26 Q1008 RETS NOSIG", "recent=TS said=no ts=recent"},

		{"other groups are nothing", "27005KT 12/08 Q1020 WS RWY21 WS R19 BLACKGRN W///S4 RF00.0/007.8 RH100 72% INFO G CB/NE/SE NOSIG", "air=12.0 qnh=1020.0 ts=no"},
		{"correction before the station's time", "COR", "flags=cor"},
		{"CCB", "CCB 27005KT", "flags=cor wind=2.57"},
		{"retarded", "RTD 31003KT", "wind=1.54"},
	})
}

func TestTheTrendIsNotRead(t *testing.T) {
	const observed = "22013KT 9999 "
	for _, trend := range []string{
		"TEMPO", "BECMG", "INTER", "PROB30", "FM1915", "FM181915", "TL0740", "AT1800", "NOSIG", "NSW", "TEMP0", "VOSIG", "NOISG",
	} {
		checkParts(t, []part{
			{"after " + trend, observed + "11/08 Q1027 RETS " + trend + " 18025G40KT +TSRA OVC002 30/20 Q0950 REGR", "wind=6.69 gust= wx= recent=TS oktas= air=11.0 qnh=1027.0 ts=recent"},
			{"in place of the body, " + trend, observed + trend + " 18025G40KT +TSRA 30/20 Q0950", "gust= wx= air= qnh= ts=no"},
			{"remarks follow " + trend, observed + trend + " RMK SLP982", "slp=998.2"},
		})
	}
}

// The rows follow the table of remarks in the weather reference, section 6
// (FMH-1, 12.7).
func TestRemarkOddities(t *testing.T) {
	checkParts(t, []part{
		{"tenths override the body", "00/M05 A2940 RMK T10051055", "air=-0.5 dew=-5.5"},
		{"tenths refine a positive value", "02/M06 RMK T00221056", "air=2.2 dew=-5.6"},
		{"a body more than a degree away is kept", "13/12 RMK T01271013", "air=12.7 dew=12.0"},
		{"a degree away is not more than a degree", "13/12 RMK T01200130", "air=12.0 dew=13.0"},
		{"minus zero", "00/00 RMK T10001000", "air=0.0 dew=0.0"},
		{"dew point missing", "32/ RMK T0322////", "air=32.2 dew="},
		{"four digits", "32/ RMK T0322", "air=32.2 dew="},
		{"no such sign", "32/20 RMK T23220201", "air=32.0 dew=20.1"},
		{"maintenance stuck on", "24/M09 RMK T02431093$", "air=24.3 dew=-9.3 flags=$"},
		{"tenths where the body has none", "A2992 RMK T02431093", "air=24.3 dew=-9.3"},
		{"tenths before RMK are nothing", "24/M09 T02431093", "air=24.0"},
		{"extremes are not current", "24/M09 RMK 10283 21011 402831011", "air=24.0 dew=-9.0"},

		{"SLP above 1000", "A3008 RMK SLP191", "slp=1019.1"},
		{"SLP below 1000", "A2940 RMK SLP964", "slp=996.4"},
		{"SLP without QNH, below 500", "RMK SLP234", "slp=1023.4"},
		{"SLP without QNH, 500 and above", "RMK SLP982", "slp=998.2"},
		{"SLP nearest to a high QNH", "A3105 RMK SLP528", "slp=1052.8"},
		{"SLP nearest to a low QNH", "A2790 RMK SLP440", "slp=944.0"},
		{"SLP missing", "A3008 RMK SLPNO", "slp="},
		{"SLP in slashes", "A3008 RMK SLP/// 5//// 9//", "slp= trend="},
		{"SLP far from QNH is kept and flagged", "A2972 RMK SLP315", "slp=1031.5 flags=suspect"},
		{"SLP before RMK is nothing", "A2972 SLP065", "slp="},

		{"rise", "RMK 52032", "trend=2:+3.2"},
		{"fall", "RMK 58006", "trend=8:-0.6"},
		{"rise, then fall, higher", "RMK 50005", "trend=0:+0.5"},
		{"rise, then fall, the same", "RMK 50000", "trend=0:+0.0"},
		{"fall, then rise, the same", "RMK 55000", "trend=5:+0.0"},
		{"steady", "RMK 54000", "trend=4:+0.0"},
		{"steady with a change contradicts itself", "RMK 54012", "trend="},
		{"a word that begins with 5", "RMK 5PAST HR PRESFR 58006", "trend=8:-0.6"},
		{"no such characteristic", "RMK 59012", "trend="},
		{"missing", "RMK 5////", "trend="},
		{"the archives' missing value", "RMK 52999", "trend="},
		{"a cloud group of Japan", "RMK 5CU020", "trend="},
		{"before RMK it is nothing", "Q1010 52032", "trend="},

		{"peak wind is not the gust", "27010KT RMK PK WND 28045/0603", "wind=5.14 gust="},
		{"no wind, but one in the remarks", "10SM RMK RWY17 35003KT CLN AIR 08010KT", "wind= from="},
		{"pressures in remarks", "9999 RMK A2982 ALTM 2959 QFE746 Q1013", "qnh="},
		{"weather in remarks", "00000KT 9999 RMK HZ TS OHD", "wx= ts=no"},

		{"thunder that ended", "00000KT RMK TSB0159E30", "ts=recent"},
		{"thunder that ended, after rain and snow", "00000KT RMK RAB05E30SNB20E55TSE58", "ts=recent"},
		{"thunder that began and has no end", "00000KT RMK TSB38", "ts=recent"},
		{"rain that ended", "00000KT RMK RAB05E30SNB20E55", "ts=no"},
		{"a time of three digits", "00000KT RMK TSE158", "ts=no"},
		{"a code that is no weather", "00000KT RMK XXTSE15", "ts=no"},
		{"distant lightning", "AUTO 06009KT RMK AO1 LTG DSNT SW", "ts=no"},

		{"TSNO is no thunder, and silence proves nothing", "AUTO 00000KT RMK AO2 TSNO", "said=no ts= flags=auto,tsno"},
		{"TSNO with the sign stuck on", "AUTO 00000KT RMK AO2 TSNO$", "ts= flags=auto,tsno,$"},
		{"TSNO without RMK", "AUTO 00000KT TSNO", "wx= ts= flags=auto,tsno"},
		{"TSNO does not hide thunder that was seen", "AUTO 00000KT TSRA RMK AO2 TSNO", "ts=yes"},
		{"maintenance", "00000KT RMK AO2 $", "flags=$"},
		{"a second report after the remarks", "00000KT RMK AO2 METAR EGYY 180750Z RMK SLP065", "slp="},
	})
}

// Rows of the weather reference, section 10, that concern METAR.
func TestInputsThatTripRealClients(t *testing.T) {
	checkParts(t, []part{
		{"a second recent group stopped the decoding", "27005KT 20/18 Q1003 RESHRA REGR R27/290045 TEMPO 1000 TSRA", "recent=SHRA+GR ts=no"},
		{"runway groups failed the report", "27005KT 9999 R23///// R15///// FEW032 26/19 Q1017", "air=26.0 dew=19.0 qnh=1017.0 oktas=2"},
		{"no temperature group failed the report", "AUTO 00000KT 9999 NCD Q1012", "wind=0.00 qnh=1012.0 air="},
		{"the dew point was lost", "CAVOK M02/M03 Q1018", "air=-2.0 dew=-3.0"},
		{"the trend was read as observed", "22013KT 9999 11/08 Q1027 FM1915 18025G40KT 4000 +TSRA", "wind=6.69 gust= ts=no"},
		{"zero was taken for missing", "22013KT 9999 00/M00 Q1027", "air=0.0 dew=0.0"},
		{"gust and thunder were missed", "22012G20KT 5SM TSRA 20/18 A2992", "gust=10.29 ts=yes"},
	})
}
