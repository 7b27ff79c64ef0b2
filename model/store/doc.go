// Package store keeps everything that must outlive the process: waters, kits
// and reports; stations, observations and forecasts; what is remembered of each
// feed; sessions, joined sessions, fits and plans; imports and job runs.
//
// It is the one package under model that does input and output. Callers see
// domain types only, and declare the few methods they need; the SQL stays here,
// one file a table, with the same text for every engine. Instants are stored as
// whole Unix seconds, in UTC. Numbers that are not finite are refused before
// the engine sees them, since engines disagree about them.
//
// Today the engine is SQLite (WAL, immediate transactions, one writer). The
// suite in storetest says what every engine must do.
package store
