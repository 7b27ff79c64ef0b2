package timing

import (
	"fmt"
	"slices"
)

const (
	// fewestBites is what it takes before casts say anything about a soak: fewer
	// is no cluster. Our choice.
	fewestBites = 4
	// triedRangeCasts is how many recorded casts it takes before the range tried
	// binds in place of the trade's. Our choice.
	triedRangeCasts = 50
	// soakDraws is how many draws the interval of a soak rests on.
	soakDraws = 500
	// someWithout is the share of draws without a best soak from which it is said,
	// and mostWithout that from which none is named; our choices. Where no session
	// has one, 0.2 lets a best soak be named from 2 in 60 invented records of 60
	// sessions, and from 5 of 5 sessions; 0.5 would let it from 9 and 28.
	someWithout = 0.1
	mostWithout = 0.2
)

// SoakVerdict is what casts say of the soak.
type SoakVerdict string

// The verdicts.
const (
	// SoakFromTrade: the casts say too little, and the trade's range stands.
	SoakFromTrade SoakVerdict = "trade_range"
	// SoakFound: bites per minute have a top among the soaks tried.
	SoakFound SoakVerdict = "best_soak"
	// SoakNone: bites per minute do not fall again among the soaks tried.
	SoakNone SoakVerdict = "no_best_soak"
)

// Whose range binds.
const (
	TradeBinds = "trade"
	TriedBinds = "tried"
)

// SoakQuestion is what a soak is wanted for.
type SoakQuestion struct {
	// Angler and Water may be empty: a typical one.
	Angler, Water string
	Handling      Handling
	// TradeStartMin and Trade are the trade's starting soak and usual range for
	// the group and water temperature.
	TradeStartMin float64
	Trade         SoakRange
	// Seed makes the draws behind the interval; the same seed gives the same.
	Seed uint64
}

// SoakAdvice is how long to leave a cast without a bite.
type SoakAdvice struct {
	Verdict SoakVerdict `json:"verdict"`
	// SoakMin is the soak with the most bites per minute inside Binding, and
	// NearlyAsGood the soaks there that lose no more than 2 %: say these.
	SoakMin      float64   `json:"soak_min"`
	NearlyAsGood SoakRange `json:"nearly_as_good"`
	// Binding is the range that no advice leaves, and Binds whose it is.
	Binding SoakRange `json:"binding"`
	Binds   string    `json:"binds"`
	// BitesPerMin is a typical session's at SoakMin; 0 where the trade's range
	// stands, since nothing is known of it then.
	BitesPerMin float64 `json:"bites_per_min"`
	// Interval is of the best soak over the draws that have one; nil unless the
	// verdict is best_soak.
	Interval *SoakInterval `json:"interval"`
	// WithoutShare is the share of draws that have no best soak among those tried.
	WithoutShare float64 `json:"without_share"`
	Casts        int     `json:"casts"`
	Bites        int     `json:"bites"`
	Text         string  `json:"text"`
}

// SoakInterval is how sure a best soak is, in minutes.
type SoakInterval struct {
	MedianMin float64 `json:"median_min"`
	Low90     float64 `json:"low90"`
	High90    float64 `json:"high90"`
}

// AdviseSoak says which soak a typical session asks for. It stays inside the
// trade's range until 50 casts are recorded and inside the range tried from then
// on, and never passes the longest soak tried. With fewer than 4 bites, or where
// the soaks tried and the trade's range do not meet, the trade's range stands.
//
// The interval rests on 500 draws of the hazard's posterior, which carries the
// differences between sessions. A question out of range is an error.
func (f HazardFit) AdviseSoak(q SoakQuestion) (SoakAdvice, error) {
	if err := q.check(); err != nil {
		return SoakAdvice{}, fmt.Errorf("advise soak: %w", err)
	}
	binding, binds := f.binding(q.Trade)
	if f.Bites < fewestBites || binding.LowMin > binding.HighMin {
		return f.tradeStands(q), nil
	}
	hazard, err := f.Typical(q.Angler, q.Water)
	if err != nil {
		return SoakAdvice{}, fmt.Errorf("advise soak: %w", err)
	}
	whole, err := hazard.BestSoak(q.Handling)
	if err != nil {
		return SoakAdvice{}, fmt.Errorf("advise soak: %w", err)
	}
	inside, err := hazard.BestSoakWithin(q.Handling, binding)
	if err != nil {
		return SoakAdvice{}, fmt.Errorf("advise soak: %w", err)
	}
	interval, without, err := f.soakInterval(q)
	if err != nil {
		return SoakAdvice{}, fmt.Errorf("advise soak: %w", err)
	}
	a := SoakAdvice{
		Verdict: SoakFound, SoakMin: inside.SoakMin, NearlyAsGood: inside.NearlyAsGood, Binding: binding, Binds: binds,
		BitesPerMin: inside.BitesPerMin, Interval: interval, WithoutShare: without, Casts: f.Casts, Bites: f.Bites,
	}
	if !whole.Interior || without > mostWithout {
		a.Verdict, a.Interval = SoakNone, nil
	}
	a.Text = a.say(whole.SoakMin, f.Tried.HighMin)
	return a, nil
}

func (q SoakQuestion) check() error {
	if err := q.Handling.check(); err != nil {
		return err
	}
	if !(q.Trade.LowMin > 0 && q.Trade.LowMin <= q.TradeStartMin && q.TradeStartMin <= q.Trade.HighMin && q.Trade.HighMin <= longestWaitMin) {
		return fmt.Errorf("the trade's soak is %g min in %g to %g; give a range above 0 with the soak inside", q.TradeStartMin, q.Trade.LowMin, q.Trade.HighMin)
	}
	return nil
}

// binding is the range that advice must keep to, and whose it is. It is empty
// where every soak tried was shorter than the trade's.
func (f HazardFit) binding(trade SoakRange) (SoakRange, string) {
	if f.Casts >= triedRangeCasts {
		return f.Tried, TriedBinds
	}
	return SoakRange{trade.LowMin, min(trade.HighMin, f.Tried.HighMin)}, TradeBinds
}

func (f HazardFit) tradeStands(q SoakQuestion) SoakAdvice {
	why := fmt.Sprintf("it takes %d bites to say more, and these casts had %d", fewestBites, f.Bites)
	if f.Bites >= fewestBites {
		why = fmt.Sprintf("no cast was left longer than %.0f min", f.Tried.HighMin)
	}
	return SoakAdvice{
		Verdict: SoakFromTrade, SoakMin: q.TradeStartMin, NearlyAsGood: q.Trade, Binding: q.Trade, Binds: TradeBinds, Casts: f.Casts, Bites: f.Bites,
		Text: fmt.Sprintf("Leave a cast %s min, the trade's usual range here: %s.", q.Trade.text(), why),
	}
}

// soakInterval sums up the best soaks of the draws.
func (f HazardFit) soakInterval(q SoakQuestion) (*SoakInterval, float64, error) {
	draws, err := f.TypicalDraws(q.Angler, q.Water, soakDraws, q.Seed)
	if err != nil {
		return nil, 0, err
	}
	var soaks []float64
	for _, h := range draws {
		turns := h.turns(SoakRange{0, h.LongestMin})
		if at, _ := highest(h.rate(q.Handling), turns); at < len(turns)-1 {
			soaks = append(soaks, turns[at])
		}
	}
	without := 1 - float64(len(soaks))/soakDraws
	if len(soaks) == 0 {
		return nil, without, nil
	}
	slices.Sort(soaks)
	at := func(share float64) float64 { return soaks[int(share*float64(len(soaks)-1)+0.5)] }
	return &SoakInterval{MedianMin: at(0.5), Low90: at(0.05), High90: at(0.95)}, without, nil
}

// say puts the advice into a sentence or two.
func (a SoakAdvice) say(unboundMin, longestMin float64) string {
	if a.Verdict == SoakNone && unboundMin < longestMin {
		return fmt.Sprintf("No best soak in these casts: they lean to %s min, but in %.0f %% of what they allow bites per minute never fall again by %.0f min, the longest soak tried.", a.NearlyAsGood.text(), 100*a.WithoutShare, longestMin)
	}
	if a.Verdict == SoakNone {
		return fmt.Sprintf("No best soak in these casts: bites per minute do not fall again by %.0f min, the longest soak tried, so let the feed decide when to recast. From %s min loses little.", longestMin, a.NearlyAsGood.text())
	}
	text := fmt.Sprintf("Without a bite, recast after %s min.", a.NearlyAsGood.text())
	if unboundMin < a.Binding.LowMin || unboundMin > a.Binding.HighMin {
		text += fmt.Sprintf(" The casts point to %.0f min, outside the range that %d casts can move.", unboundMin, a.Casts)
	}
	if a.WithoutShare > someWithout {
		text += fmt.Sprintf(" Not sure: in %.0f %% of what the casts allow there is no best soak.", 100*a.WithoutShare)
	}
	return text
}

// text is the range in whole minutes.
func (r SoakRange) text() string {
	low, high := fmt.Sprintf("%.0f", r.LowMin), fmt.Sprintf("%.0f", r.HighMin)
	if low == high {
		return low
	}
	return low + " to " + high
}
