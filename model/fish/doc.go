// Package fish says how much the fish of a group can eat at a given water
// temperature, as a share of the most they ever could: their appetite.
//
// It holds the three published temperature functions of the bioenergetics
// literature, a table of species with the standing of every parameter
// (published, derived or assumed), and the mix of species that stands for each
// target group. It does not say how likely a bite is, and it does not scale the
// trade's starting feed rates, which already follow the temperature.
//
// Below 8 to 10 C the trade holds that fish stop; telemetry of carp, bream and
// roach contradicts it (Bauer and Schlott 2006; Tarkan et al. 2025; Hautala
// 2008). So appetite is low in the cold and never nothing.
//
// References: Kitchell, Stewart and Weininger 1977 (equation 2); Thornton and
// Lessem 1978 (equation 3); Stewart et al. 1983 (equation 1); Deslauriers et
// al. 2017, Fisheries 42:586-596, with its open table of parameters.
package fish
