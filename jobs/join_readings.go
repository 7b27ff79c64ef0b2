package jobs

import "osier/model"

// ownWeather gives, to each angler of some sessions, their weather with the water
// as that angler may know it: corrected by the readings inside their own records
// beside those that everybody sees, and by nobody else's. A reading bears on the
// sessions that begin after it.
func ownWeather(weather loaded, sessions []model.Session) (map[string]loaded, error) {
	readings, own := map[string][]model.MeterReading{}, map[string]loaded{}
	for _, s := range sessions {
		own[s.Angler] = weather
		if r := s.MeterReading(); r.Known {
			readings[s.Angler] = append(readings[s.Angler], r.Value)
		}
	}
	for angler, mine := range readings {
		history, err := weather.history.With(mine)
		if err != nil {
			return nil, err
		}
		corrected := weather
		corrected.history = history
		own[angler] = corrected
	}
	return own, nil
}
