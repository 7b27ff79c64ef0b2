// Package activity says how many true bites a planned session may expect.
//
// It holds one table of columns with fixed centres, scales and priors
// (columns.go), the design row that a session's forecast conditions make
// (BuildRow), and the model of one group of fish (Fit): NB2 counts of true bites
// with a log link, log-hours offset and effects of waters, anglers and pegs, all
// with priors, and the share of bites that is landed. The prior alone is fit
// zero (PriorFit) and always answers.
//
//	fit*.go            sessions in, a fit out, and when a new one may replace it
//	count*.go          the count regression itself: records, mode, slopes, Laplace
//	                   fit, predictions and their scores
//	landed*.go         fish from bites
//	forecast.go, effects.go, difference.go  what a fit says
//	feed*.go, choice.go  which feed to recommend, and to try
//	evaluation*.go     how good forecasts were
//	baseline*.go       the plain regression that the model must beat, there to be
//	                   scored beside it and for nothing else
//	leastsquares.go, standardised.go, solver.go  least squares, for that and for
//	                   what anglers usually plan (feedplanmodel.go)
//
// Two ideas rule the package.
//
//   - Feed follows bites, so feed given during a spell can never explain that
//     spell's bites. Only the planned rate can be told to this package; there
//     is no field for feed used.
//   - A mean of log rates is not the log of a mean rate. Forecasts integrate over
//     the doubt about the log rate; nothing plugs in its exponential.
//
// It does not hold appetite, weather, the starting feed rate or the clock: all
// of those arrive as plain numbers in Covariates.
//
// A first forecast:
//
//	fit, err := activity.FitRecords("bream", sessions)
//	forecast, err := fit.Forecast(conditions, activity.Setting{Water: "pit"}, 5) // five rod-hours
//
// # References
//
// Section and table numbers of the books are cited from memory.
//
//   - G. H. Golub and C. F. Van Loan, Matrix Computations, section 5.3 (least
//     squares by QR).
//   - NIST Statistical Reference Datasets, linear regression (tests).
//   - J. M. Hilbe, Negative Binomial Regression, 2011 (the NB2 form).
//   - M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964,
//     6.3 and 6.4 (digamma, trigamma), table 25.10 (Gauss-Hermite), 26.5.24 and
//     26.5.26 (binomial sums as incomplete beta).
//   - J. Nocedal and S. J. Wright, Numerical Optimization, 2006, 6.1 (BFGS).
//   - Y. Chung and others, Psychometrika 78, 2013 (zero-avoiding priors).
//   - T. Gneiting and A. E. Raftery, JASA 102, 2007 (scores); C. Czado, T.
//     Gneiting and L. Held, Biometrics 65, 2009 (PIT of counts).
//   - T. J. VanderWeele and P. Ding, Ann. Intern. Med. 167, 2017 (E-value).
package activity
