package water

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
)

const (
	// carryH is how long missing air is bridged by the mean of the last day.
	// Beyond that the water returns to its climate curve. Our choice: a spell of
	// weather lasts about three days.
	carryH = 72.0

	// airMemoryH is the fading time of the mean of the last day's air. Our choice.
	airMemoryH = 24.0

	// typicalWm2K is the exchange at 15 C in the default wind, by which a water
	// without weather returns to its climate (reference pack 1.2 and 2.1).
	typicalWm2K = 25.0
)

// State is where a run stands. It is all that the run needs to go on, so it can
// be stored and taken up again.
type State struct {
	At     time.Time `json:"at"`
	WaterC float64   `json:"water_c"` // of the slab, or of its upper layer in deep water
	LowerC float64   `json:"lower_c"` // of the lower layer; the same in water too shallow for one
	// LagSunC is the lag of air and sun, the second member of the estimate.
	LagSunC float64 `json:"lag_sun_c"`
	// IceM is the model's account of the cold that a thaw has to make good. It
	// is not fit to be shown: no ice is safe.
	IceM        float64 `json:"ice_m"`
	MemorySdC   float64 `json:"memory_sd_c"`   // what is left of the error of the start or of a gap
	AirMeanC    float64 `json:"air_mean_c"`    // fading mean of the last day's air
	AirMissingH float64 `json:"air_missing_h"` // for how long the air has been unknown
}

func (s State) validate() error {
	if s.At.IsZero() {
		return errors.New("it has no instant; begin with StartFromAir or StartFromClimate")
	}
	for _, c := range []struct {
		what         string
		v, low, high float64
		unit         string
	}{
		{"water temperature", s.WaterC, 0, highestC, "C"},
		{"lower layer", s.LowerC, 0, highestC, "C"},
		{"lag of air and sun", s.LagSunC, lowestC, highestC, "C"},
		{"ice", s.IceM, 0, 1000, "m"},
		{"memory of the start", s.MemorySdC, 0, 20, "C"},
		{"mean air", s.AirMeanC, -60, 60, "C"},
		{"time without air", s.AirMissingH, 0, math.MaxFloat64, "h"},
	} {
		if err := between(c.what, c.v, c.low, c.high, c.unit); err != nil {
			return err
		}
	}
	return nil
}

// Run steps the slab from the state through the hours, which must follow it in
// order of time, and appends one estimate an hour to out. It gives back out and
// the state after the last hour. Missing weather is stood in for: see Hour and
// Basis. On an error, which names the hour, nothing has happened: out and the
// state come back as they were given.
//
// The step is h_eff rho cp dT/dt = H(T), made exact for a constant K over at
// most an hour. Source: Edinger, Brady and Geyer 1974 for the form; the
// project's reference pack (water and fish, 2.1) for the choices in it.
func Run(site Site, start State, hours []Hour, out []Estimate) ([]Estimate, State, error) {
	if err := site.Validate(); err != nil {
		return out, start, fmt.Errorf("water temperature: site: %w", err)
	}
	if err := start.validate(); err != nil {
		return out, start, fmt.Errorf("water temperature: state: %w", err)
	}
	if err := checkOrder(start.At, hours); err != nil {
		return out, start, fmt.Errorf("water temperature: %w", err)
	}
	out = slices.Grow(out, len(hours))
	s := start
	for i := range hours {
		basis := s.advance(&site, &hours[i])
		out = append(out, s.estimate(&site, basis))
	}
	return out, s, nil
}

// advance brings the state to the end of the hour.
func (s *State) advance(site *Site, h *Hour) Basis {
	spanH := h.At.Sub(s.At).Hours()
	basis := s.noteAir(h, spanH)
	if basis == FromClimate {
		s.followClimate(site, h.At, spanH)
		return basis
	}
	airC, targetSdC := h.AirC.Value, 0.0
	if basis == Carried {
		airC, targetSdC = s.AirMeanC, climateMemorySdC
	}
	weather := h.forcing(site, airC)
	steps := int(math.Ceil(spanH - 1e-9))
	step := h.At.Sub(s.At) / time.Duration(max(steps, 1))
	for middle := s.At.Add(step / 2); middle.Before(h.At); middle = middle.Add(step) {
		if !h.ShortwaveWm2.Known {
			weather.ShortwaveWm2 = sunlightAt(site, middle, weather.CloudFraction)
		}
		kept := s.step(site, weather, step.Seconds())
		s.stepLagSun(site, weather, step.Seconds())
		s.MemorySdC = fade(s.MemorySdC, targetSdC, kept)
	}
	s.At = h.At
	return basis
}

// noteAir keeps the mean of the last day's air and says what the hour can rest on.
func (s *State) noteAir(h *Hour, spanH float64) Basis {
	if !h.AirC.Known {
		s.AirMissingH += spanH
		if s.AirMissingH > carryH {
			return FromClimate
		}
		return Carried
	}
	if s.AirMissingH >= carryH {
		s.AirMeanC = h.AirC.Value
	} else {
		s.AirMeanC = fade(s.AirMeanC, h.AirC.Value, math.Exp(-spanH/airMemoryH))
	}
	s.AirMissingH = 0
	return Modelled
}

// step moves water or ice through one step of steady weather, and gives the
// share of a difference in temperature that outlives it.
func (s *State) step(site *Site, f Forcing, seconds float64) (kept float64) {
	if s.IceM > 0 {
		s.IceM = stepIce(s.IceM, f, seconds)
		return 1
	}
	b, store := balance(s.WaterC, f), site.upperStoreJM2K()
	change, kept := relax(b.NetWm2, b.CoefficientWm2K, seconds/store)
	s.WaterC += change
	if site.layered() {
		s.mixLayers(site, f.Wind2mMps, seconds)
		kept = 1 - (1-kept)*store/site.heatStoreJM2K()
	} else {
		s.LowerC = s.WaterC
	}
	if s.WaterC < 0 {
		s.IceM = -s.WaterC * site.heatStoreJM2K() / fusionJM3
		s.WaterC, s.LowerC = 0, 0
	}
	return kept
}

// relax is the exact step of a first-order lag: how far the water moves under a
// net flux that falls by the coefficient for each degree, and which share of the
// distance to equilibrium is left.
func relax(netWm2, coefficientWm2K, secondsPerStore float64) (changeC, kept float64) {
	kept = math.Exp(-coefficientWm2K * secondsPerStore)
	return netWm2 / coefficientWm2K * (1 - kept), kept
}

// fade moves a value towards a target, keeping a share of the distance. The
// error of a gap or a start is taken to be of one sign throughout, so standard
// deviations move like the temperature itself.
func fade(value, target, kept float64) float64 { return target + (value-target)*kept }

// followClimate returns a water without weather to its climate curve, and its
// error to that of the climate. Ice stays until even the low end of the climate
// is too warm for it: missing weather clears no caution. Our choice.
func (s *State) followClimate(site *Site, at time.Time, spanH float64) {
	kept := math.Exp(-typicalWm2K * spanH * 3600 / site.heatStoreJM2K())
	climate := climateC(site, at.UTC().YearDay())
	if climate-ClimateHalfWidthC > densestC {
		s.IceM = 0
	}
	if s.IceM == 0 {
		s.WaterC, s.LowerC = fade(s.WaterC, climate, kept), fade(s.LowerC, climate, kept)
	}
	s.LagSunC = fade(s.LagSunC, climate, kept)
	s.MemorySdC = fade(s.MemorySdC, climateMemorySdC, kept)
	s.At = at
}
