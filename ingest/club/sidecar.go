package club

import (
	"encoding/json"
	"fmt"
	"io"
	"path"
	"strings"
)

// A Resource is an exported table, for WriteSidecar.
type Resource struct {
	Schema  Schema
	Path    string // where the data are, seen from the sidecar
	Bytes   int64  // 0 = not stated
	SHA256  string // empty = not stated
	Guarded bool   // written by WriteCSV without Raw
}

// The parts of a Data Package that we write.
type (
	packageJSON struct {
		Profile   string         `json:"$schema"`
		Title     string         `json:"title"`
		Resources []resourceJSON `json:"resources"`
	}
	resourceJSON struct {
		Name        string       `json:"name"`
		Type        string       `json:"type"`
		Path        string       `json:"path"`
		Description string       `json:"description"`
		Format      string       `json:"format"`
		MediaType   string       `json:"mediatype"`
		Encoding    string       `json:"encoding,omitempty"`
		Dialect     *dialectJSON `json:"dialect,omitempty"`
		Bytes       int64        `json:"bytes,omitempty"`
		Hash        string       `json:"hash,omitempty"`
		Schema      schemaJSON   `json:"schema"`
	}
	dialectJSON struct {
		Delimiter      string `json:"delimiter"`
		LineTerminator string `json:"lineTerminator"`
		QuoteChar      string `json:"quoteChar"`
	}
	schemaJSON struct {
		Fields        []fieldJSON `json:"fields"`
		MissingValues []string    `json:"missingValues"`
	}
	fieldJSON struct {
		Name        string           `json:"name"`
		Type        string           `json:"type"`
		Description string           `json:"description"`
		Unit        string           `json:"unit,omitempty"`
		RDFType     string           `json:"rdfType,omitempty"`
		Constraints *constraintsJSON `json:"constraints,omitempty"`
	}
	constraintsJSON struct {
		Enum []string `json:"enum"`
	}
)

// WriteSidecar writes a datapackage.json (Data Package 2.0, with a Table Schema
// for every resource) that tells other programs the types, units, meanings and
// Darwin Core terms of exported tables. The unit is a UCUM code, in a property
// "unit" beside the standard's own.
func WriteSidecar(w io.Writer, title string, resources ...Resource) error {
	out := packageJSON{Profile: "https://datapackage.org/profiles/2.0/datapackage.json", Title: title}
	for _, r := range resources {
		described, err := r.describe()
		if err != nil {
			return err
		}
		out.Resources = append(out.Resources, described)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(out)
}

func (r Resource) describe() (resourceJSON, error) {
	format := strings.TrimPrefix(path.Ext(r.Path), ".")
	out := resourceJSON{
		Name: r.Schema.Table, Type: "table", Path: r.Path, Description: r.Schema.Description,
		Format: format, MediaType: mediaType(format), Bytes: r.Bytes,
		Schema: schemaJSON{MissingValues: []string{""}},
	}
	if out.MediaType == "" {
		return out, fmt.Errorf("%s: exported tables end in .csv, .arrow or .parquet", r.Path)
	}
	if format == "csv" {
		out.Encoding, out.Dialect = "utf-8", &dialectJSON{Delimiter: ",", LineTerminator: "\r\n", QuoteChar: `"`}
	}
	if r.Guarded {
		out.Description += ". Texts that a spreadsheet would take for a formula have an apostrophe before them"
	}
	if r.SHA256 != "" {
		out.Hash = "sha256:" + r.SHA256
	}
	for _, c := range r.Schema.Columns {
		f := fieldJSON{Name: c.Name, Type: c.Kind.tableSchemaType(), Description: c.Description, Unit: c.Unit, RDFType: c.TermIRI()}
		if c.Values != nil {
			f.Constraints = &constraintsJSON{c.Values}
		}
		out.Schema.Fields = append(out.Schema.Fields, f)
	}
	return out, nil
}

func mediaType(format string) string {
	switch format {
	case "csv":
		return "text/csv"
	case "arrow":
		return "application/vnd.apache.arrow.file"
	case "parquet":
		return "application/vnd.apache.parquet"
	}
	return ""
}

// tableSchemaType returns the kind as Table Schema names it.
func (k Kind) tableSchemaType() string {
	switch k {
	case KindNumber:
		return "number"
	case KindInteger:
		return "integer"
	case KindTruth:
		return "boolean"
	case KindWhen:
		return "datetime"
	}
	return "string"
}

// Describe writes the data dictionary of the tables as Markdown: every column
// with its kind, unit, meaning and Darwin Core term.
func Describe(w io.Writer, schemas []Schema) error {
	var b strings.Builder
	fmt.Fprintf(&b, "# The tables\n\nVersion %d. Every column may be null, which means \"not recorded\". Times are UTC.\n", SchemaVersion)
	b.WriteString("Units are UCUM codes; terms beginning with dwc: are those of Darwin Core\n(`" + darwinCore + "`).\n")
	for _, s := range schemas {
		fmt.Fprintf(&b, "\n## %s\n\nHolds %s.\n\n", s.Table, s.Description)
		b.WriteString("| column | kind | unit | meaning | term |\n|---|---|---|---|---|\n")
		for _, c := range s.Columns {
			meaning := strings.ReplaceAll(c.Description, "|", `\|`)
			fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", c.Name, c.Kind, c.Unit, meaning, c.Term)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
