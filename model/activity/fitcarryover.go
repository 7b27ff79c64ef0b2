package activity

import "math"

// carryOver checks the fit's own sessions for spells that last (CarryOver): each
// plan of feed against what is usual at that temperature, and its bites against
// what the fit makes of that session. Sessions whose feed was not planned, or
// whose bites were not counted, are left out.
func (f Fit) carryOver(sessions []SessionRecord) (FeedCarryOver, error) {
	var rows []FeedResidual
	for _, s := range sessions {
		first := s.Intervals[0]
		c := first.Covariates
		if !first.BitesKnown || !c.Known.Feed || !c.Known.WaterC || f.Tried.Plan.Rows == 0 {
			continue
		}
		basis, hours, bites, err := f.recordBasis(s)
		if err != nil {
			return FeedCarryOver{}, err
		}
		rows = append(rows, FeedResidual{
			Water: s.Water, StartH: s.StartH,
			LogPlanResidual: math.Log(c.PlannedRateGH) - f.Tried.Plan.logRate(c.WaterC),
			Residual:        math.Log((float64(bites)+0.5)/hours) - basis.LogRateMean,
		})
	}
	return CarryOver(rows)
}
