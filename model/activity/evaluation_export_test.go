package activity

// Inner parts of the evaluation that published figures are held against.
var (
	KolmogorovTail    = kolmogorovTail
	KolmogorovSmirnov = kolmogorovSmirnov
	RandomisedPIT     = randomisedPIT
)
