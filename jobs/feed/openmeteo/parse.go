package openmeteo

import (
	"time"

	"osier/model"
)

// Parse reads a forecast. The position is that of the grid cell as answered;
// IssuedAt, FetchedAt and ConfirmedAt are left zero for the caller. A fault in
// one value, hour or variable is a warning, and what it spoilt is missing; an
// answer that is no forecast at all is an error that says what it was, in the
// feed's own words where it gave a reason. Hours come back in the order of
// time, each once.
func Parse(body []byte) (model.Forecast, []string, error) {
	a, err := decode(body)
	if err != nil {
		return model.Forecast{}, nil, err
	}
	r := &reader{units: a.HourlyUnits, hourly: a.Hourly}
	moments, rows, err := r.moments(a)
	if err != nil {
		return model.Forecast{}, r.warnings, err
	}
	forecast := model.Forecast{Source: Source, LatDeg: a.Latitude.Value, LonDeg: a.Longitude.Value}
	forecast.Hours = r.hours(moments, rows)
	return forecast, r.warnings, nil
}

// ParseArchive reads an answer of the archive: the same shape, marked
// ArchiveSource. A weather code without thunder says nothing there, since the
// reanalysis makes its codes from cloud and rain alone (from memory), so
// Thunder is then not known.
func ParseArchive(body []byte) (model.Forecast, []string, error) {
	forecast, warnings, err := Parse(body)
	if err != nil {
		return model.Forecast{}, warnings, err
	}
	forecast.Source = ArchiveSource
	for i := range forecast.Hours {
		if h := &forecast.Hours[i]; !h.Thunder.Value {
			h.Thunder = model.Maybe[bool]{}
		}
	}
	return forecast, warnings, nil
}

func (r *reader) hours(moments []moment, rows int) []model.ForecastHour {
	airC, dewC, rhPct := r.list(airTemperature, rows), r.list(dewPoint, rows), r.list(humidity, rows)
	windMps, windFromDeg, gustMps := r.list(windSpeed, rows), r.list(windDirection, rows), r.list(gustSpeed, rows)
	seaLevelHPa, cloudPct := r.list(seaLevel, rows), r.list(cloudCover, rows)
	rainMm, codes := r.list(rainDepth, rows), r.list(weatherCode, rows)
	hours := make([]model.ForecastHour, 0, len(moments))
	for i, m := range moments {
		h := model.ForecastHour{
			At:            m.at,
			StepH:         1,
			AirC:          as[model.Celsius](airC[m.row]),
			DewC:          as[model.Celsius](dewC[m.row]),
			RHPct:         rhPct[m.row],
			WindMps:       as[model.MetresPerSecond](windMps[m.row]),
			WindFromDeg:   as[model.Degrees](windFromDeg[m.row]),
			GustMps:       as[model.MetresPerSecond](gustMps[m.row]),
			SeaLevelHPa:   as[model.Hectopascals](seaLevelHPa[m.row]),
			CloudFraction: share(cloudPct[m.row]),
			Thunder:       thunder(codes[m.row]),
		}
		if h.WindFromDeg.Value == 360 {
			h.WindFromDeg.Value = 0
		}
		// The sum of the hour before the next time is what falls from this one on.
		if i+1 < len(moments) && moments[i+1].at.Sub(m.at) == time.Hour {
			if mm := rainMm[moments[i+1].row]; mm.Known {
				h.Rain = model.Known(model.Rain{Mm: model.Millimetres(mm.Value), OverH: 1})
			}
		}
		hours = append(hours, h)
	}
	return hours
}

// as gives a value the type of the field it goes into.
func as[T ~float64](v model.Maybe[float64]) model.Maybe[T] {
	return model.Maybe[T]{Value: T(v.Value), Known: v.Known}
}

func share(pct model.Maybe[float64]) model.Maybe[float64] {
	pct.Value /= 100
	return pct
}

// thunder reads a code of WMO table 4677 (from memory): 95 to 99 thunder at the
// time, 91 to 94 and 29 within the hour before, 17 thunder without rain. The
// feed itself uses 95, 96 and 99.
func thunder(wmo model.Maybe[float64]) model.Maybe[bool] {
	c := wmo.Value
	return model.Maybe[bool]{Value: c == 17 || c == 29 || c >= 91, Known: wmo.Known}
}
