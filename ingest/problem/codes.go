package problem

// A Code is a stable name for one kind of problem, in words with hyphens.
type Code string

// An Explanation is what `gravid explain CODE` prints.
type Explanation struct {
	Code    Code
	Cause   string // why it happens
	Example string // what such a cell or file looks like
	Remedy  string // what to do about it
}

// The codes, in the order in which a file meets them. Each has an entry in
// explanations; a test holds that.
const (
	FileEmpty        Code = "file-empty"
	FileKind         Code = "file-kind"         // not a kind of file that can be read
	FileUnreadable   Code = "file-unreadable"   // could not be opened or read
	FileChanged      Code = "file-changed"      // changed while it was read
	FileDuplicate    Code = "file-duplicate"    // same content as another file
	WorkbookDamaged  Code = "workbook-damaged"  // zip or XML faults
	SheetDamaged     Code = "sheet-damaged"     // one sheet cannot be trusted
	Limit            Code = "limit"             // larger than the program is willing to read
	Encoding         Code = "encoding"          // how the bytes were read, or cannot be
	Quote            Code = "quote"             // a quotation mark that never closes properly
	RaggedRow        Code = "ragged-row"        // more or fewer cells than headings
	Hidden           Code = "hidden"            // hidden rows, columns or sheets were read
	NotALog          Code = "not-a-log"         // no row looks like headings of a log
	HeaderUnsure     Code = "header-unsure"     // two rows could be the headings
	HeadingUnknown   Code = "heading-unknown"   // a heading nobody knows; text kept in notes
	HeadingGuessed   Code = "heading-guessed"   // a misspelt heading taken for a known one
	HeadingTwice     Code = "heading-twice"     // two columns for one field
	UnitUnknown      Code = "unit-unknown"      // a unit that does not belong to the quantity
	UnitImplied      Code = "unit-implied"      // no unit written; only one fits
	UnitMissing      Code = "unit-missing"      // no unit written and several fit
	DateAmbiguous    Code = "date-ambiguous"    // day and month cannot be told apart
	DateConflict     Code = "date-conflict"     // no single order reads all the dates
	DateImplied      Code = "date-implied"      // order taken from the run of dates
	DateUnreadable   Code = "date-unreadable"   // not a date of the calendar
	DatePartial      Code = "date-partial"      // month or year only
	DateOutOfRange   Code = "date-out-of-range" // in the future or too long ago
	DateOrder        Code = "date-order"        // an end before its beginning
	TimeUnreadable   Code = "time-unreadable"   // a clock time that cannot be read or does not exist
	NumberUnreadable Code = "number-unreadable" // not a number
	NumberOpen       Code = "number-open"       // 1.200 may be 1200 or 1.2
	NumberRange      Code = "number-range"      // a range where one number is needed
	NumberBound      Code = "number-bound"      // more than, less than
	Implausible      Code = "implausible"       // outside what can be, not used
	Unusual          Code = "unusual"           // outside what is usual, used
	ZeroNotPossible  Code = "zero-not-possible" // 0 where it cannot be
	YesNoUnreadable  Code = "yes-no-unreadable" // neither yes nor no
	BlankNotNo       Code = "blank-not-no"      // marks and blanks: a blank is not a no
	CountWord        Code = "count-word"        // a word where a count is needed
	SexRatio         Code = "sex-ratio"         // a group that cannot be read
	SpeciesUnknown   Code = "species-unknown"   // no such name
	SpeciesAmbiguous Code = "species-ambiguous" // a name for several species
	SpeciesRenamed   Code = "species-renamed"   // synonym or common name put to its accepted name
	SpeciesGuessed   Code = "species-guessed"   // misspelt, taken for the nearest name
	SpeciesMissing   Code = "species-missing"
	KeeperImplied    Code = "keeper-implied"   // keeper named by folder or file
	RowIncomplete    Code = "row-incomplete"   // lacks what every row needs
	RowDuplicate     Code = "row-duplicate"    // same row again
	ReadingConflict  Code = "reading-conflict" // same instant, two values
	Contradiction    Code = "contradiction"    // two cells of a row disagree
	FormulaEmpty     Code = "formula-empty"    // a formula without a stored result
	CellError        Code = "cell-error"       // #N/A and its kin
	MergedCell       Code = "merged-cell"      // a value that covers several cells
	SameAsAbove      Code = "same-as-above"    // a cell that repeats the one above by a sign
	LossUnknown      Code = "loss-unknown"     // a cause of loss nobody knows
	MappingInvalid   Code = "mapping-invalid"  // the mapping file cannot be used
	RowSkipped       Code = "row-skipped"      // headings again, totals, remarks below a table
	SpawnsOnly       Code = "spawns-only"      // this keeper records successes only
	ManySetAside     Code = "many-set-aside"   // more than a fifth of a table could not be used
	EntryUnsure      Code = "entry-unsure"     // words of a diary that are no sure record
	SensorFault      Code = "sensor-fault"     // values a broken sensor gives
)
