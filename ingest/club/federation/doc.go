// Package federation writes the tables of a club for a federation of clubs, and reads
// those of all its clubs.
//
//	club=CODE/_club.json                the club's time zone, and every file with its checksum
//	club=CODE/year=2024/attempts.parquet
//	club=CODE/year=2024/clutches.parquet
//	club=CODE/year=2024/readings.parquet
//	club=CODE/year=2024/actions.parquet
//
// The year is that of a row's first date, in UTC; rows without any date lie in
// year=__HIVE_DEFAULT_PARTITION__, which readers of such layouts take for "none". Each
// file carries the schema of its table: units, descriptions, terms, the words that a
// column allows, the version.
//
// Nothing in the files names a person. Keepers, tanks, places, attempts and clutches have
// pseudonyms that only the club can make again (see Names); remarks, names as written,
// hatching aids, the columns of a club's own triggers, and the way back to the logs are
// left out. Dates and readings stay as they are: who has the weather of a place can tell
// the place from a long barometer log.
package federation
