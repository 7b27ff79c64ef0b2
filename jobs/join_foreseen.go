package jobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"time"

	"osier/model"
)

// foresee adds what was known of a session's weather when it began: what a plan
// asked for at that instant would have read. A fit that learnt from the weather
// as observed would take for granted what no forecast ever has (statistics pack
// 5, and 10 trap 15).
//
// It is made once. What comes in later of the time before, a correction or a
// report that was held up, was not known then; and no forecast can still come
// that was fetched before. Where none was kept, as for records of years before,
// fits read the weather as observed, and Basis says so.
func foresee(ctx context.Context, past *past, s model.Session, was model.JoinedSession, out *model.JoinedSession) error {
	out.Basis = model.AsObserved
	if was.ForeseenFrom == out.ForeseenFrom && len(was.Intervals) == len(out.Intervals) {
		out.Basis, out.Foreseen, out.ForeseenWeather = was.Basis, was.Foreseen, was.ForeseenWeather
		for i := range out.Intervals {
			out.Intervals[i].Foreseen = was.Intervals[i].Foreseen
		}
		return nil
	}
	lat, lon := cell(past.water)
	if told, err := past.store.foretold(ctx, lat, lon, s.Start); err != nil || !told {
		return err
	}
	kept, err := past.store.Forecasts(ctx, lat, lon, s.Start, 1)
	if err != nil || len(kept) == 0 {
		return err
	}
	known, err := past.foreseen(ctx, s)
	if err != nil || !foretold(known.hours, s) {
		return err
	}
	outing := outingOf(s)
	drivers := known.history.Drivers(outing)
	out.Basis, out.Foreseen, out.ForeseenWeather = model.AsForecast, &drivers, known.version
	for i, part := range out.Intervals {
		drivers := known.history.Drivers(partOf(outing, part))
		out.Intervals[i].Foreseen = &drivers
	}
	return nil
}

// foretold says whether the forecasts kept told of the hours after the first
// cast, up to the whole hour that the last wind-in lies in: of half of them at
// least, as a driver asks that is averaged over them.
func foretold(hours []model.WeatherHour, s model.Session) bool {
	after, told := 0, 0
	for _, h := range hours {
		if !h.At.After(s.Start) || !h.At.Before(s.End.Add(time.Hour)) {
			continue
		}
		after++
		if h.AirC.Known && h.WindMps.Known {
			told++
		}
	}
	return told > 0 && 2*told >= after
}

// foreseenFrom names the record and the water that the weather was foreseen for,
// the record first.
func foreseenFrom(record []byte, water string) string { return nameOf(record) + "/" + water }

// nameOf names a document.
func nameOf(document []byte) string {
	sum := sha256.Sum256(document)
	return hex.EncodeToString(sum[:8])
}
