// Package store keeps everything that must outlive the process: waters, kits
// and reports; stations, observations and forecasts; what is remembered of each
// feed; sessions, joined sessions, fits and plans; imports and job runs.
//
// It is the one package under model that does input and output. Callers see
// domain types only, and declare the few methods they need; the SQL stays here,
// one file a table, with the same text for every engine. Instants are stored as
// whole Unix seconds, in UTC. Numbers that are not finite, and text with a NUL or
// outside UTF-8, are refused before the engine sees them, since engines disagree
// about them. Text sorts by its bytes.
//
// The engine is SQLite (WAL, immediate transactions, one writer) in a folder of
// one machine, or PostgreSQL for any number of programs; OpenSQLite and
// OpenPostgres are all that differs, but for the tables' own words: a migration is
// two files of one number and name. Both have one writer at a time, so that what
// a transaction has read is still so when it writes. A copy (copy.go) moves all
// from one store to an empty one and compares; a backup is such a copy.
//
// The suite in storetest says what every engine must do.
package store
