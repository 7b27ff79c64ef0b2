package model

import "time"

// SeasonPlan is a water's year, month by month: what is usual there, not what
// any one day will bring.
type SeasonPlan struct {
	Water     string        `json:"water"`
	WaterName string        `json:"water_name"`
	AskedAt   time.Time     `json:"asked_at"`
	Zone      string        `json:"zone"`
	Fit       string        `json:"fit"`
	Hours     float64       `json:"hours"` // of a session, for the chance of a blank
	Months    []SeasonMonth `json:"months"`
	Coldest   int           `json:"coldest_month"` // by the water
	Warmest   int           `json:"warmest_month"`
	Against   []string      `json:"winter_against_summer"` // the two in sentences
	Notes     []string      `json:"notes"`
	Credits   []string      `json:"credits,omitempty"` // what the feeds' licences ask to be said
	Deferral  string        `json:"deferral"`
	Demo      bool          `json:"demo"`
}

// SeasonMonth is one month at a water.
type SeasonMonth struct {
	Month    int             `json:"month"`
	Name     string          `json:"name"`
	WaterC   SeasonWater     `json:"water_temp_c"`
	Band     string          `json:"band"` // winter, between or summer, by the water and not by the calendar
	Light    SeasonLight     `json:"light"`
	Groups   []SeasonGroup   `json:"groups"`
	Cautions []SeasonCaution `json:"cautions"`
}

// SeasonWater is the water temperature of a month: the best figures of eight in
// ten hours lie from low to high. With the error of the model it may fall and
// reach further; cautions go by that.
type SeasonWater struct {
	Low       float64     `json:"low"`
	Middle    float64     `json:"middle"`
	High      float64     `json:"high"`
	MayFallTo float64     `json:"may_fall_to"`
	MayReach  float64     `json:"may_reach"`
	Basis     SeasonBasis `json:"basis"`
	Days      int         `json:"days"` // of modelled water behind it
}

// SeasonBasis says what a figure of a season rests on.
type SeasonBasis string

// The bases.
const (
	ByHistory SeasonBasis = "history" // the water's own, modelled from stored weather
	ByClimate SeasonBasis = "climate" // its climate alone, give or take 4 C
	ByWeather SeasonBasis = "weather" // stored weather
	ByNothing SeasonBasis = "none"
)

// SeasonLight is the light of the middle of a month, and which of it the trade
// holds to be worth fishing.
type SeasonLight struct {
	DayLengthH   float64          `json:"day_length_h"`
	Rise         Maybe[time.Time] `json:"rise"`
	Set          Maybe[time.Time] `json:"set"`
	WorthFishing string           `json:"worth_fishing"` // common practice
}

// SeasonGroup is what the trade does for one group in such water, and what to
// expect in ordinary weather.
type SeasonGroup struct {
	Group          Group     `json:"group"`
	Level          string    `json:"level"`
	RateGH         Span      `json:"rate_g_h"` // over the month's range of water
	Step           string    `json:"step"`
	CapacityMl     float64   `json:"capacity_ml"`
	SoakMin        Span      `json:"soak_min"`
	SoakStartMin   float64   `json:"soak_start_min"`
	FillsPerH      float64   `json:"fills_per_h"`
	RecastMin      float64   `json:"recast_interval_min"`
	OpeningFills   int       `json:"opening_fills"`
	OpeningRelease string    `json:"opening_release"`
	HookLengthCm   Span      `json:"hook_length_cm"`
	Particles      string    `json:"particles"`
	PatienceMin    Span      `json:"patience_min"`
	BitesPerH      RateRange `json:"bites_per_h"`
	Blank          float64   `json:"blank_probability"`
	Activity       string    `json:"activity_step"`
}

// SeasonCaution is a caution that is common in a month, or was not checked.
type SeasonCaution struct {
	ID    string       `json:"id"`
	Level CautionLevel `json:"level"`
	Text  string       `json:"text"`
	Basis SeasonBasis  `json:"basis"`
}
