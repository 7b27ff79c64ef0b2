package nws

import (
	"regexp"

	"osier/model"
)

// oktas is the cover that a word of a cloud layer stands for: the ranges of
// WMO-No. 306, FM 15 (FEW 1-2, SCT 3-4, BKN 5-7), one value each, as for METAR
// (our choice). A hidden sky (VV) counts as covered.
var oktas = map[string]int{
	"SKC": 0, "CLR": 0, "NSC": 0, "NCD": 0,
	"FEW": 2, "SCT": 4, "BKN": 6, "OVC": 8, "VV": 8,
}

// cloud is the highest cover of any layer. No layers at all prove nothing: a
// station without an eye for clouds has none either.
func (r *reader) cloud() (cover model.Maybe[int]) {
	var layers []struct {
		Amount string `json:"amount"`
	}
	if !r.property("cloudLayers", &layers) {
		return cover
	}
	for _, layer := range layers {
		if layer.Amount == "" {
			continue
		}
		amount, known := oktas[layer.Amount]
		if !known {
			r.once("cloudLayers: the amount %.40q is not known; left out", layer.Amount)
			continue
		}
		cover = model.Known(max(amount, cover.Value))
	}
	return cover
}

// thunderGroup is a weather group that reports thunder (WMO-No. 306, code table
// 4678): the descriptor TS alone or before what falls. TSNO, a sensor that is
// off, is none.
var thunderGroup = regexp.MustCompile(`^[+-]?(VC)?TS(SH|DZ|RA|SN|SG|IC|PL|GR|GS|UP)*$`)

// thunder is what present weather says of thunder. It never says that there was
// none: the JSON does not tell a quiet sky from a sensor that is off.
func (r *reader) thunder() model.Thunder {
	var weather []struct {
		Weather    string `json:"weather"`
		RawString  string `json:"rawString"`
		InVicinity bool   `json:"inVicinity"`
	}
	if !r.property("presentWeather", &weather) {
		return model.ThunderUnknown
	}
	strongest := model.ThunderUnknown
	for _, w := range weather {
		group := thunderGroup.FindStringSubmatch(w.RawString)
		switch {
		case group == nil && w.Weather != "thunderstorms":
		case w.InVicinity || group != nil && group[1] != "":
			strongest = model.ThunderVicinity
		default:
			return model.ThunderNow
		}
	}
	return strongest
}
