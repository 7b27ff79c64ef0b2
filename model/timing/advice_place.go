package timing

// place says whether to change the line or peg, by the tables of stay or move
// and never before the lower end of the patience. Chance is that a fresh line
// is better than this one, feeding and all.
func (in AdviceInput) place(s session) Piece {
	leftMin := max(0, in.EndMin-in.NowMin)
	piece := Piece{Act: Stay, Figures: []Figure{
		{"fished_here_min", s.fishedMin}, {"bites_here", float64(s.bites)}, {"left_min", leftMin}, {"patience_min", in.PatienceMin},
	}}
	if !in.CanMove {
		piece.Reason = NowhereToGo
		return piece
	}
	if s.fishedMin < in.PatienceMin {
		piece.Reason = WithinPatience
		return piece
	}
	choice, ok := in.Moves.At(s.fresh, leftMin, s.fishedMin, s.bites)
	if !ok {
		piece.Reason = NoTable
		return piece
	}
	piece.Figures = append(piece.Figures, Figure{"bites_if_staying", choice.StayBites})
	if !choice.CanMove {
		piece.Reason = TooLateToMove
		return piece
	}
	piece.Figures = append(piece.Figures, Figure{"bites_if_moving", choice.MoveBites})
	better := s.chanceFreshBetter(in.Plan)
	if choice.Move() {
		piece.Act, piece.Reason, piece.Chance = ChangePlace, BetterElsewhere, sure(better)
		return piece
	}
	piece.Reason, piece.Chance = BetterHere, sure(1-better)
	return piece
}

// chanceFreshBetter is the chance that a fresh line, whose mean shares this
// one's day, gives more than this line; where neither feeds it is a toss.
func (s session) chanceFreshBetter(plan Belief) float64 {
	fresh := s.fresh
	if next, ok := s.nextLine(plan); ok {
		fresh = next
	}
	larger, ok := fresh.Rate.ChanceLarger(s.now.Rate)
	if !ok {
		return 0.5
	}
	p, q := fresh.Feeding, s.now.Feeding
	return p*(1-q) + p*q*larger + (1-p)*(1-q)/2
}
