package species

// How says by which road a name was put to its species.
type How string

const (
	// Accepted is the accepted scientific name itself.
	Accepted How = "accepted"
	// Synonym is another scientific name of the species, or its accepted name
	// with another gender ending.
	Synonym How = "synonym"
	// Common is a common name, or a name that the club gave.
	Common How = "common"
	// Abbreviation is a short form, such as "C. paleatus".
	Abbreviation How = "abbreviation"
	// Misspelling is a name with a slip of the pen that only one species
	// explains.
	Misspelling How = "misspelling"
	// Ambiguous is a name that may mean several species, or one species but not
	// surely. Candidates holds at least one name.
	Ambiguous How = "ambiguous"
	// Unknown is a name of no species in the list.
	Unknown How = "unknown"
)

// A Match is what a written name stands for.
type Match struct {
	Accepted   string   // accepted scientific name; empty with Ambiguous and Unknown
	How        How      // the road taken
	Candidates []string // accepted names: those meant by an ambiguous name, or the nearest to an unknown one
	Strain     string   // what else was written: strain, place, collection number, cf.
	As         string   // the name as it was written
}
