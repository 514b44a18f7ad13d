// Package species resolves the names keepers write for their fishes to the
// accepted scientific name.
package species
