package timing

import "slices"

// rhythmCasts is how many casts wound in without a bite it takes to say that
// the soak in use is too short or too long; our choice.
const rhythmCasts = 4

// cast says whether to hold the cast in the water or wind it in, by the best
// soak's range. Chance is that a bite comes before the range ends. With no
// range, no cast in the water or a bite on it already, ok is false.
func (in AdviceInput) cast(s session) (piece Piece, ok bool) {
	if in.SoakHighMin == 0 || len(s.casts) == 0 {
		return Piece{}, false
	}
	c := s.casts[len(s.casts)-1]
	if c.trueBites() > 0 {
		return Piece{}, false
	}
	soakMin := s.fishedMin - c.fromMin
	figures := []Figure{{"soak_min", soakMin}, {"best_soak_low_min", in.SoakLowMin}, {"best_soak_high_min", in.SoakHighMin}}
	chance := sure(s.now.BiteWithin(in.SoakHighMin - soakMin))
	switch {
	case soakMin >= in.SoakHighMin:
		return Piece{Act: Recast, Reason: BeyondBestSoak, Figures: figures}, true
	case soakMin >= in.SoakLowMin:
		return Piece{Act: EitherWay, Reason: WithinBestSoak, Figures: figures, Chance: chance}, true
	}
	return Piece{Act: Hold, Reason: BeforeBestSoak, Figures: figures, Chance: chance}, true
}

// rhythm says whether the soak in use wants changing: the middle one of the
// last four casts wound in without a bite since the last change, against the
// best range. A cast's end is known from the next cast less the handling.
func (in AdviceInput) rhythm(s session) Piece {
	var soaksMin []float64
	for i := len(s.casts) - 1; i >= s.changedAtCast && len(soaksMin) < rhythmCasts; i-- {
		if c := s.casts[i]; c.finished && c.trueBites() == 0 {
			soaksMin = append(soaksMin, c.outMin-c.fromMin)
		}
	}
	if in.SoakHighMin == 0 || len(soaksMin) < rhythmCasts {
		return Piece{Act: SoakAsNow, Reason: NoTrigger, Figures: []Figure{{"casts_without_bite", float64(len(soaksMin))}}}
	}
	slices.Sort(soaksMin)
	usualMin := (soaksMin[1] + soaksMin[2]) / 2
	figures := []Figure{{"usual_soak_min", usualMin}, {"best_soak_low_min", in.SoakLowMin}, {"best_soak_high_min", in.SoakHighMin}}
	switch {
	case usualMin < in.SoakLowMin:
		return Piece{Act: LeaveLonger, Reason: SoaksTooShort, Figures: figures}
	case usualMin > in.SoakHighMin:
		return Piece{Act: RecastSooner, Reason: SoaksTooLong, Figures: figures}
	}
	return Piece{Act: SoakAsNow, Reason: SoaksFit, Figures: figures}
}
