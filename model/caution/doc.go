// Package caution says when weather or water should change what an angler
// does, or keep them at home. It looks only at what was reported, forecast and
// estimated, never at what the activity model expects, so that no good forecast
// of bites can soften a warning.
//
// Every check asks the same two questions of each moment of the hours planned:
// what do the readings that we have raise, and what could the readings that we
// lack still raise? Where the second is more than the first, the moment is "not
// checked", in words that name the reading. So a missing reading never clears
// anything, whichever it is. A forecast older than six hours may raise a
// caution and clears none.
//
// Each moment counts at the highest level a check raises in it. Neighbouring
// moments of one level make one caution, with the figures of the worst of them:
// a note before and after a care stays a note, and is not shown again within
// it.
//
// One file holds one check. Adding one is that file and its line in the table
// of check.go. The package holds no weather computation (osier/model/air does)
// and closes no water: only the fishery and the club's officers may.
//
// What is for the fish strikes no hour out: only the fishery and the club's
// officers close a water. Where a water should perhaps be closed, officers are
// advised so and everybody else takes care. Official warnings stand before all
// of ours, in their own words; a club's restriction is passed on as it was decided
// (restriction.go). Water at an old forecast counts as 3 C less sure.
//
// One row of the pack is no check, for it rests on no input: water hygiene.
// Cover cuts, wash hands before eating, keep line out of the mouth, and see a
// doctor for an illness like flu within about three weeks (canal and
// water-sport notices on leptospirosis). It belongs to the help pages.
//
// Thresholds and wording follow the project's cautions pack. Its sources: the
// wind chill index of Environment Canada (2001) and its hazard classes; the
// Beaufort scale; the 30/30 rule for lightning and the Met Office's
// thunderstorm advice; the UK Health Security Agency's heat-health alert texts;
// the Royal Life Saving Society UK on frozen water; the Energy Networks
// Association's messages to anglers; the Environment Agency and the Angling
// Trust on heat, oxygen and keepnets; GOV.UK on keepnets; Pottinger 1997 and
// 1998; the GB Non-native Species Secretariat; Boros et al. 2022. Steps without
// a source are marked "our choice" beside the figure.
package caution
