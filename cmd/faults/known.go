//go:build linux

package main

// known are the faults that gravid has and that are not mended yet, by check and
// case, with what mends them. The harness reports them as faults all the same. Its
// test wants these and no others, so whoever mends one takes it from the list.
var known = map[string]string{
	"kill-season/temporary files": "season clears no folder of what a killed run left: remove .tmp-* in season/ before writing",

	"full-disk/stdout problems":      "text of problems is printed without looking at the error",
	"full-disk/stdout explain limit": "the same for explain",
	"full-disk/file limit":           noRemedy,
	"full-disk/ingest":               noRemedy,
	"full-disk/export":               tempNamed,
	"full-disk/new":                  noRemedy + "; and new leaves a folder that the next run refuses as not empty",

	"no-right/ingest, tables":         noRemedy,
	"no-right/ingest, sources":        noRemedy,
	"no-right/ingest, set-aside":      noRemedy,
	"no-right/ingest, lock":           noRemedy,
	"no-right/ingest, settings":       noRemedy,
	"no-right/ask, settings":          noRemedy,
	"no-right/ask, tables":            noRemedy,
	"no-right/season, season folder":  tempNamed,
	"no-right/read-only disk, ingest": noRemedy,
	"no-right/read-only disk, new":    noRemedy,
	"no-right/read-only disk, export": tempNamed,

	"hostile-log/numbers at the edge":                  "a number-unreadable has no remedy",
	"hostile-log/a mapping that is a pipe":             mappingUnchecked,
	"hostile-log/a mapping that is a device":           mappingUnchecked,
	"hostile-log/a huge mapping":                       mappingUnchecked,
	"hostile-log/a name that is no UTF-8":              "the whole run fails for the name of one log: list in ingest should name it in a problem and pass over it",
	"injection/text":                                   "plain in cmd/gravid leaves U+061C, U+2028 and U+2029, the report's Printable U+200E and U+200F, and ingest --explain writes names of files raw into remarks",
	"injection/lines":                                  "plain leaves line breaks, so a name of a file can forge a line",
	"injection/JSON":                                   "ingest --explain --format json writes TOML after the JSON",
	"privacy/workbook, a keeper's name":                notesShown,
	"privacy/workbook, part of a keeper's name":        notesShown,
	"privacy/workbook, a file's name":                  "the message of file-duplicate names the other file",
	"privacy/workbook, a place":                        notesShown,
	"privacy/page, a keeper's name":                    notesShown,
	"privacy/page, part of a keeper's name":            notesShown,
	"privacy/page, a file's name":                      "the message of file-duplicate names the other file",
	"privacy/page, a place":                            notesShown,
	"privacy/season JSON, a keeper's name":             notesShown,
	"privacy/season JSON, part of a keeper's name":     notesShown,
	"privacy/season JSON, a file's name":               "the JSON holds the places of attempts and problems",
	"privacy/season JSON, a place":                     notesShown,
	"privacy/answers, part of a keeper's name":         "names of tanks are shown as written",
	"privacy/exported tables, a keeper's name":         exported,
	"privacy/exported tables, part of a keeper's name": exported,
	"privacy/exported tables, a file's name":           exported,
	"privacy/exported tables, a place":                 exported,
}

const (
	noRemedy         = "an error of the system comes without a remedy: asFailure in cmd/gravid should give one by its kind"
	tempNamed        = "the error names the temporary file and not the one that was to be written: wrap it in atomicfile"
	mappingUnchecked = "a mapping is read whatever it is and however large: ingest should look first, as source.Load does"
	notesShown       = "remarks are shown, with names replaced only where they are written as the keeper is called: leave remarks out where pseudonyms are on"
	exported         = "export knows no pseudonyms"
)
