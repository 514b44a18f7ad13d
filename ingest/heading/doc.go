// Package heading finds the row of the headings in a table and says what each
// heading means: which field, in which unit, of a log in English, German,
// French or Spanish.
//
// A heading that can mean two things ("Hatched": a date or a number of larvae) is
// decided by the cells below it where they agree, and refused where they do not.
// Nothing is guessed between fields.
//
// The package reads cells only to tell their kind. It takes over no value,
// knows nothing of mapping files, and does not tell a log from a logger.
package heading
