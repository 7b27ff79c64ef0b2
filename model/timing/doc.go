// Package timing says how long to wait for a bite, and what a session so far
// says about the rest of it.
//
// Before a session it holds the waiting times of past casts and what follows
// from them:
//
//	cast.go         one cast, and the wait it shows: timed, cut short or known to
//	                a stretch of time only
//	km.go           Kaplan and Meier's survival with Greenwood's errors
//	hazard*.go      a piecewise-constant hazard, fitted with an effect of each
//	                session by the activity model's own fitter
//	soak*.go        the soak with the most bites per minute
//	rhythm.go       which feeder, at which soak, delivers the planned feed
//
// During a session it holds the posterior of the rate, the chance that anything
// feeds on the line, when to move, and the advice made of all this
// (posterior*.go, feeding*.go, move*.go, advice*.go).
//
// Three ideas rule the first half.
//
//   - The session comes before the cast. Sessions differ, and casts of good and
//     poor ones thrown together show a hazard that falls although none does; it
//     would ask for a recast where nobody gains from one. So every fit has an
//     effect of the session, and the soak is that of a typical one. The pooled
//     figures are made to be shown beside it.
//   - Nothing is known past the longest soak tried, and nothing is said of it.
//   - Where bites per minute do not fall again there is no best soak, and that is
//     the answer.
//
// What it cannot see: an angler who recasts because the bait is surely gone, or
// because bites are slow, cuts waits short for a reason, and the waits then look
// better than they are. Casts with a limit set by the clock are worth more. And
// the feed is held fixed: no curve of waits says what more feed would bring.
//
// It does not hold the trade's soaks, capacities, or anything of temperature;
// those arrive as plain numbers.
//
// # References
//
//   - E. L. Kaplan and P. Meier, JASA 53, 1958; M. Greenwood, 1926 (survival).
//   - T. R. Holford, Biometrics 36, 1980; N. Laird and D. Olivier, JASA 76, 1981
//     (piecewise hazards as Poisson regression).
//   - J. W. Vaupel and T. I. Missov, Demographic Research 31, 2014 (frailty).
//   - S. M. Ross, Stochastic Processes; R. E. Barlow and F. Proschan, Mathematical
//     Theory of Reliability, 1965 (renewal and reward; from memory).
package timing
