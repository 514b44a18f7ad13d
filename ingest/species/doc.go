// Package species puts the names that keepers write for their fishes to
// accepted scientific names: synonyms, older and newer genera, abbreviations,
// common names in English, German, French and Spanish, and slips of the pen.
//
// A name that may mean several species is never settled by a guess: it comes
// back with its candidates. Two valid species are never taken for one another
// because their names look alike.
//
// The package does not identify fishes and is no catalogue of all of them: it
// knows the species of its list and those that a club adds. It does not look
// for species in the tables of a club.
package species
