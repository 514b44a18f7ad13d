package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"path"
	"strings"
)

// A pack is a workbook's file as parts, to check what the library can't read back.
type pack struct {
	parts  map[string]*zip.File
	sheets map[string]string // part of each sheet, by name
}

func openPackage(raw []byte) (*pack, error) {
	r, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		return nil, err
	}
	p := &pack{parts: map[string]*zip.File{}, sheets: map[string]string{}}
	for _, f := range r.File {
		p.parts[f.Name] = f
	}
	var book struct {
		Sheets []struct {
			Name string `xml:"name,attr"`
			ID   string `xml:"http://schemas.openxmlformats.org/officeDocument/2006/relationships id,attr"`
		} `xml:"sheets>sheet"`
	}
	const part = "xl/workbook.xml"
	if err := p.read(part, &book); err != nil {
		return nil, err
	}
	relations, err := p.relations(part)
	if err != nil {
		return nil, err
	}
	for _, s := range book.Sheets {
		p.sheets[s.Name] = relations[s.ID].Target
	}
	return p, nil
}

// read decodes a part.
func (p *pack) read(name string, into any) error {
	f := p.parts[name]
	if f == nil {
		return fmt.Errorf("there is no part %s", name)
	}
	raw, err := readPart(f)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if err := xml.Unmarshal(raw, into); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

type relation struct {
	ID     string `xml:"Id,attr"`
	Kind   string `xml:"Type,attr"`
	Target string `xml:"Target,attr"`
	Mode   string `xml:"TargetMode,attr"`
}

// relations are the relations of a part by their ID; those to other parts with
// the name of the part as target.
func (p *pack) relations(part string) (map[string]relation, error) {
	name := path.Join(path.Dir(part), "_rels", path.Base(part)+".rels")
	out := map[string]relation{}
	if p.parts[name] == nil {
		return out, nil
	}
	var list struct {
		Relations []relation `xml:"Relationship"`
	}
	if err := p.read(name, &list); err != nil {
		return nil, err
	}
	for _, r := range list.Relations {
		switch {
		case r.Mode == "External":
		case strings.HasPrefix(r.Target, "/"):
			r.Target = strings.TrimPrefix(r.Target, "/")
		default:
			r.Target = path.Join(path.Dir(part), r.Target)
		}
		out[r.ID] = r
	}
	return out, nil
}

// links are the links of a sheet by cell.
func (p *pack) links(sheet string) (map[string]target, error) {
	part := p.sheets[sheet]
	var ws struct {
		Links []struct {
			Ref      string `xml:"ref,attr"`
			Location string `xml:"location,attr"`
			ID       string `xml:"http://schemas.openxmlformats.org/officeDocument/2006/relationships id,attr"`
		} `xml:"hyperlinks>hyperlink"`
	}
	if err := p.read(part, &ws); err != nil {
		return nil, err
	}
	relations, err := p.relations(part)
	if err != nil {
		return nil, err
	}
	out := map[string]target{}
	for _, l := range ws.Links {
		t := target{place: l.Location}
		if l.ID != "" {
			r, ok := relations[l.ID]
			if !ok || r.Mode != "External" {
				return nil, fmt.Errorf("the link of %s names no file", l.Ref)
			}
			t.file = r.Target
		}
		out[l.Ref] = t
	}
	return out, nil
}

// A chartPlace is where a chart lies, rows and columns counted from 1, and what it
// holds.
type chartPlace struct {
	from, to, toCol int
	alt             string
	series          int
}

// charts are the charts of a sheet in their order.
func (p *pack) charts(sheet string) ([]chartPlace, error) {
	relations, err := p.relations(p.sheets[sheet])
	if err != nil {
		return nil, err
	}
	var out []chartPlace
	for _, r := range relations {
		if !strings.HasSuffix(r.Kind, "/drawing") {
			continue
		}
		places, err := p.drawing(r.Target)
		if err != nil {
			return nil, err
		}
		out = append(out, places...) // a sheet has one drawing at most
	}
	return out, nil
}

// A corner is a place of a drawing, rows and columns counted from 0.
type corner struct {
	Row int `xml:"row"`
	Col int `xml:"col"`
}

func (p *pack) drawing(part string) ([]chartPlace, error) {
	var drawing struct {
		Anchors []struct {
			From  corner `xml:"from"`
			To    corner `xml:"to"`
			Frame struct {
				Props struct {
					Descr string `xml:"descr,attr"`
				} `xml:"nvGraphicFramePr>cNvPr"`
				Chart struct {
					ID string `xml:"http://schemas.openxmlformats.org/officeDocument/2006/relationships id,attr"`
				} `xml:"graphic>graphicData>chart"`
			} `xml:"graphicFrame"`
		} `xml:"twoCellAnchor"`
	}
	if err := p.read(part, &drawing); err != nil {
		return nil, err
	}
	relations, err := p.relations(part)
	if err != nil {
		return nil, err
	}
	var out []chartPlace
	for _, a := range drawing.Anchors {
		series, err := p.series(relations[a.Frame.Chart.ID].Target)
		if err != nil {
			return nil, err
		}
		out = append(out, chartPlace{from: a.From.Row + 1, to: a.To.Row + 1, toCol: a.To.Col + 1, alt: a.Frame.Props.Descr, series: series})
	}
	return out, nil
}

// series counts what a chart draws.
func (p *pack) series(part string) (int, error) {
	type kind struct {
		Series []struct{} `xml:"ser"`
	}
	var chart struct {
		Bars    []kind `xml:"chart>plotArea>barChart"`
		Scatter []kind `xml:"chart>plotArea>scatterChart"`
	}
	if err := p.read(part, &chart); err != nil {
		return 0, err
	}
	n := 0
	for _, k := range append(chart.Bars, chart.Scatter...) {
		n += len(k.Series)
	}
	return n, nil
}
