// Package activity says how many true bites a planned session may expect.
//
// It holds one table of columns with fixed centres, scales and priors
// (columns.go), the design row that a session's forecast conditions make
// (BuildRow), one guarded least squares (LeastSquares), and the plain baseline:
// ordinary least squares of the log bite rate, drawn towards the prior while
// records are few (FitBaseline). The prior alone is fit number zero (PriorFit)
// and always answers. A richer count model has to forecast better than this
// baseline before it may replace it, so the baseline is kept plain on purpose.
//
// Beside it stands the count model (FitCounts): NB2 counts with a log link,
// log-hours offset and effects of waters, anglers and pegs, alpha and the sds by
// Laplace's approximation. count*.go hold its records, rows, mode, slopes, fit
// and forecast; choice.go what follows from doubt about feed.
//
// Two ideas rule the package.
//
//   - Feed follows bites, so feed given during a spell can never explain that
//     spell's bites. Only the planned rate can be told to this package; there
//     is no field for feed used.
//   - A mean of log rates is not the log of a mean rate. The prior speaks of
//     mean rates, least squares of mean log rates, and the step between the two
//     is taken openly, once, in prior.go.
//
// It does not hold appetite, weather, the starting feed rate or the clock: all
// of those arrive as plain numbers in Covariates. The baseline has no effects for
// single waters or anglers; its forecast carries their spread, not their names.
//
// A first forecast:
//
//	fit, err := activity.FitBaseline("bream", rows)
//	forecast, err := fit.Forecast(conditions, 5) // five rod-hours
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
