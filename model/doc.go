// Package model holds the words of the trade as Go types, and the rules that
// bind them: waters and pegs, what stations report, the hourly weather at a
// water, sessions and what came of them, cautions, and the plan that an angler
// reads.
//
// It holds no arithmetic of weather, water or statistics (those are the
// packages below it) and does no input or output: time, randomness and data
// come in as arguments. Every number names its unit, in Go, in columns and in
// JSON alike.
//
// Data flows one way: observation, weather at a water, conditions, joined
// session, fit, plan. Nothing here writes to the left of itself.
package model
