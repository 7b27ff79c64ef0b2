// Package feeder holds the trade's tables for feeder fishing on stillwaters and
// the cold-start plan made from them: how much to feed, out of which feeder,
// how often, how the session opens, what the feeder weighs, and on which rod.
//
// It holds capacity, feed levels, the starting rate by water temperature, the
// rhythm of casts, feeder weight, rod, line and hook length, season words and
// the arithmetic that ties them:
//
//	g/h = capacity ml x fill factor x density g/ml x fills/h
//
// It does not hold anything learnt from records, expected bites, cautions or
// the law: a rate that records recommend and a cap that a caution asks for come
// in as plain arguments. Every function is pure, and no NaN or infinity leaves.
//
// Marks used beside the figures: "common practice, no source" is a rule of
// thumb of the trade; "derived" is arithmetic from such figures; "our choice"
// was settled here where the trade is silent; published sources are named.
//
// Published checks on the scale of the feed table: Imbert, Bouletreau, Beisel
// and Cucherousset, Quantitative estimates of nutrient inputs from angling
// baits, Fisheries Management and Ecology, doi 10.1111/fme.12802; Fazekas et
// al. (2023), Scientific Reports, doi 10.1038/s41598-023-44381-3; Boros, Mozsar
// and Specziar (2022), nutrient balance of fishing in Lake Balaton. They bear
// out the table to within a factor of two and no better.
package feeder
