package problem

// Explain returns what there is to say of a code.
func Explain(c Code) (Explanation, bool) {
	for _, e := range Explanations() {
		if e.Code == c {
			return e, true
		}
	}
	return Explanation{}, false
}

// Explanations returns every code with its cause, an example and a remedy, in the
// order in which a file meets them.
func Explanations() []Explanation {
	return []Explanation{
		{FileEmpty, "the file holds no row", "a log that was saved before anything was written", "nothing to do, or save the log again"},
		{FileKind, "the content is not a text file or a workbook that can be read, whatever its name says", "a .csv that is a web page; an old .xls; a workbook with a password", "save it as .xlsx without a password, or as CSV"},
		{FileUnreadable, "the file could not be opened or read to its end", "no permission; a link that leads out of the club's folder", "copy the file itself into the logs folder and give the right to read it"},
		{FileChanged, "the file changed while it was read, so part of it may be old", "a folder that a cloud service is just synchronising", "wait and ingest again"},
		{FileDuplicate, "another file has exactly the same content; it is read once", "log.csv and log (1).csv", "delete one of them"},
		{WorkbookDamaged, "the workbook's container has faults, so no cell of it can be trusted", "a download that broke off", "open it in a spreadsheet program, repair it and save it as a new file"},
		{SheetDamaged, "one sheet of the workbook contradicts itself; the others are read", "two cells that both claim to be B5", "open it in a spreadsheet program and save it as a new file"},
		{Limit, "the file is larger than the program is willing to read", "a sheet with a cell in column XFD", "delete empty rows and columns at the edge, or split the file"},
		{Encoding, "the file does not say how its letters are stored, and the program decided it, or could not", "° shown as Â°", "save as CSV UTF-8, or write encoding = \"…\" in the mapping"},
		{Quote, "a quotation mark opens and does not close properly; the line is read as it stands", "5\" tank", "look whether the row came out right; double the mark or leave it out"},
		{RaggedRow, "a row has more or fewer cells than there are headings", "a decimal comma in a comma-separated file", "put the cell into quotation marks or use another delimiter"},
		{Hidden, "hidden rows, columns or sheets were read like the rest", "a filter left on", "delete them if they are not part of the log"},
		{NotALog, "no row of the sheet has headings that belong to a log", "a shopping list; a legend", "nothing to do, or name the row with header_row = … in the mapping"},
		{HeaderUnsure, "two rows could both be the headings", "a table of another year above the table", "write header_row = … in the mapping"},
		{HeadingUnknown, "nobody knows what the column means; its text is kept in the notes", "a column \"Mood\"", "write is = \"…\" for it in the mapping, or declare a trigger of your own in club.toml"},
		{HeadingGuessed, "the heading is misspelt and was taken for the nearest known one", "Temprature", "look whether that is right; mend the heading or name the column in the mapping"},
		{HeadingTwice, "two columns mean the same; the first is used", "two columns \"Eggs\"", "name one of them otherwise, or write is = \"notes\" for it in the mapping"},
		{UnitUnknown, "a unit that does not belong to what the column measures; the value is not used", "24 psi under Temp", "write a unit of the quantity"},
		{UnitImplied, "no unit is written, and the values fit only one", "Temp with values from 22 to 27", "nothing to do if that is right; otherwise write unit = \"…\" in the mapping"},
		{UnitMissing, "no unit is written and the values fit several, or none; the column is not used", "pressure change without a unit", "write the unit into the heading, or unit = \"…\" in the mapping"},
		{DateAmbiguous, "all dates of the column can be read with day or month first; none is used", "03/04/2024 and 05/06/2024", "write dates = \"dmy\" or \"mdy\" in the mapping"},
		{DateConflict, "no single order of day and month reads all dates of the column; none is used", "13/02/2024 and 02/14/2024", "mend the rows named in the message"},
		{DateImplied, "the order of day and month follows only from the dates' running in order", "a log filled in from top to bottom", "nothing to do if that is right; otherwise write dates = \"…\" in the mapping"},
		{DateUnreadable, "the cell holds no date of the calendar; it is not used", "31/04/2024; last Tuesday", "write the date as 2024-04-30"},
		{DatePartial, "the cell names a month or a year only; it is not taken for a day", "March 2024", "write the day if you know it"},
		{DateOutOfRange, "the date lies in the future or too long ago; it is not used", "2205-03-04", "mend the year"},
		{DateOrder, "something ends before it begins; the later date is not used", "hatched before laid", "mend one of the two dates"},
		{TimeUnreadable, "the clock time cannot be read, or does not exist on that day", "25:10; 02:30 on the night when clocks go forward", "write it as 19:30"},
		{NumberUnreadable, "the cell holds no number where one is needed; it is not used", "twenty; 10/12", "write digits"},
		{NumberOpen, "the number can be read in two ways, and nothing else in the file tells which; it is not used", "1.200 may be 1200 or 1.2", "write decimal = \",\" or \".\" in the mapping"},
		{NumberRange, "the cell holds a range where one number is needed; the middle is used", "24-26", "nothing to do, or write one number"},
		{NumberBound, "the cell gives a bound, not a number; it does not count as a value", ">300", "write the number if you know it"},
		{Implausible, "the value cannot be; it is not used", "a fall of the air pressure by 100 hPa; pH 68", "look for a wrong unit or a lost decimal mark"},
		{Unusual, "the value is used, but lies outside what is usual", "water of 35 °C", "look whether it is right"},
		{ZeroNotPossible, "0 cannot be measured here; it is not used", "temperature 0 for \"not measured\"", "leave the cell empty"},
		{YesNoUnreadable, "the cell is neither yes nor no; it is not used", "maybe", "write yes or no"},
		{BlankNotNo, "the column holds marks and blanks only, and a blank is not taken for a no", "x in some rows, nothing in the others", "write blank = \"no\" in the mapping if a blank means no"},
		{CountWord, "a word stands where a count is needed; it is not used", "lots; none", "write the number, and 0 for none"},
		{SexRatio, "the group cannot be read; it is not used", "2/1 where it can be a date", "write 2.1 or 2m1f"},
		{SpeciesUnknown, "no species has that name; the row is set aside", "Corydoras gigantissimus", "mend the name, or give it under [species] in club.toml"},
		{SpeciesAmbiguous, "several species go by that name; the row is set aside", "cardinal", "write the scientific name, or give it under [species] in club.toml"},
		{SpeciesRenamed, "a synonym or common name was put to its accepted name", "peppered cory", "nothing to do if that is right"},
		{SpeciesGuessed, "the name is misspelt and was taken for the nearest one", "Corydoras palaetus", "look whether that is right"},
		{SpeciesMissing, "the row names no species, nor does the sheet or file; it is set aside", "a blank under Species", "write the species, or species = \"…\" in the mapping"},
		{KeeperImplied, "no column names the keeper, so the folder or file does", "logs/ana/2024.csv", "nothing to do if that is right; otherwise write keeper = \"…\" in the mapping"},
		{RowIncomplete, "the row lacks what every record needs; it is set aside", "a row with a remark alone", "add a date, or move the remark to the notes of another row"},
		{RowDuplicate, "the same row stands twice; it is used once", "a row that was copied and not changed", "nothing to do, or change it if there were two"},
		{RowSkipped, "the row repeats the headings, adds up the column, or is a remark outside the table", "Total; Summe", "nothing to do"},
		{ReadingConflict, "two readings of one instant differ; neither is used", "two exports of one logger, one of them with its clock reset", "delete the wrong one"},
		{Contradiction, "two cells of the row disagree; both are kept", "spawned no, eggs 120", "mend one of them"},
		{FormulaEmpty, "the cell holds a formula whose result was never stored", "a workbook written by a program and never opened", "open it in a spreadsheet program and save it"},
		{CellError, "the cell shows an error of the spreadsheet", "#N/A; #REF!", "mend the formula"},
		{MergedCell, "one value covers several cells; it is used for the first only, or for all rows of a one-column block", "a species name merged over five rows", "look whether that is right"},
		{SameAsAbove, "a cell says by a sign or a word that it repeats the one above, whose value is used", "ditto; \" under a species", "look whether that is right"},
		{LossUnknown, "the cause of the loss is not in the list; it is kept in the notes", "struck by lightning", "use one of the causes that gravid template lists"},
		{MappingInvalid, "the mapping file beside the log cannot be followed, so the log is not read", "an unknown key", "mend the line named in the message"},
		{SpawnsOnly, "every attempt of this keeper ended in a spawning, so failures are probably not written down; such records compare nothing", "a list of clutches", "write down attempts that came to nothing as well; if there were none, name the keeper in attempts_in_full of club.toml"},
		{ManySetAside, "more than a fifth of the rows of a table could not be used; perhaps it was not understood", "a log whose species stands in its title", "look at gravid ingest --explain, and write a mapping"},
		{EntryUnsure, "the words of a diary leave open what happened, or to which fish; what is unsure is not used", "maybe eggs?; female full of eggs", "write what was seen: eggs, no eggs, hatched, free swimming"},
		{SensorFault, "values that a broken or unplugged sensor gives; they are not used", "85.0 °C; -127 °C", "check the sensor"},
	}
}
