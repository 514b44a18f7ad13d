package statstest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
)

// A Node is one value of a JSON file, with the order of an object's keys kept.
// A nil *Node stands for a value that is not there.
type Node struct {
	value  any // float64, string, bool, nil, or nothing when items or fields is set
	items  []*Node
	keys   []string
	fields map[string]*Node
}

// parseNode reads exactly one JSON value.
func parseNode(raw []byte) (*Node, error) {
	dec := json.NewDecoder(bytes.NewReader(raw))
	n, err := readNode(dec)
	if err != nil {
		return nil, err
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, fmt.Errorf("more than one value")
	}
	return n, nil
}

func readNode(dec *json.Decoder) (*Node, error) {
	tok, err := dec.Token()
	if err != nil {
		return nil, err
	}
	delim, ok := tok.(json.Delim)
	if !ok {
		return &Node{value: tok}, nil
	}
	if delim == '{' {
		return readObject(dec)
	}
	n := &Node{items: []*Node{}}
	for dec.More() {
		item, err := readNode(dec)
		if err != nil {
			return nil, err
		}
		n.items = append(n.items, item)
	}
	_, err = dec.Token()
	return n, err
}

func readObject(dec *json.Decoder) (*Node, error) {
	n := &Node{keys: []string{}, fields: map[string]*Node{}}
	for dec.More() {
		tok, err := dec.Token()
		if err != nil {
			return nil, err
		}
		key := tok.(string) // the decoder allows nothing else here
		if _, twice := n.fields[key]; twice {
			return nil, fmt.Errorf("key %q appears twice", key)
		}
		n.keys = append(n.keys, key)
		if n.fields[key], err = readNode(dec); err != nil {
			return nil, err
		}
	}
	_, err := dec.Token()
	return n, err
}

// Get follows the path and returns the node there, or nil. A step is the key of
// an object or the index of an array; inside a matrix ({"rows", "cols",
// "data"}) it is the name of a row and then the name of a column.
func (n *Node) Get(path ...string) *Node {
	for i, step := range path {
		if n == nil {
			return nil
		}
		if m, ok := n.matrix(); ok && n.fields[step] == nil {
			return m.node(path[i:])
		}
		switch {
		case n.fields != nil:
			n = n.fields[step]
		case n.items != nil:
			k, err := strconv.Atoi(step)
			if err != nil || k < 0 || k >= len(n.items) {
				return nil
			}
			n = n.items[k]
		default:
			return nil
		}
	}
	return n
}

// Keys returns the keys of an object in the order of the file.
func (n *Node) Keys() []string {
	if n == nil {
		return nil
	}
	return n.keys
}

// Float returns the number at n; null is NaN, "Inf" and "-Inf" are infinite.
func (n *Node) Float() (float64, error) {
	if n == nil {
		return 0, fmt.Errorf("not there")
	}
	switch v := n.value.(type) {
	case float64:
		return v, nil
	case nil:
		if n.items == nil && n.fields == nil {
			return math.NaN(), nil
		}
	case string:
		switch v {
		case "Inf":
			return math.Inf(1), nil
		case "-Inf":
			return math.Inf(-1), nil
		}
	}
	return 0, fmt.Errorf("not a number")
}

// Floats returns the numbers of an array, or of an object in the order of the
// file. A bare number is a vector of length one.
func (n *Node) Floats() ([]float64, error) {
	if n == nil {
		return nil, fmt.Errorf("not there")
	}
	children := n.items
	switch {
	case n.fields != nil:
		for _, k := range n.keys {
			children = append(children, n.fields[k])
		}
	case n.items == nil:
		children = []*Node{n}
	}
	out := make([]float64, len(children))
	for i, c := range children {
		v, err := c.Float()
		if err != nil {
			return nil, fmt.Errorf("element %d: %w", i, err)
		}
		out[i] = v
	}
	return out, nil
}

// Text returns the string at n.
func (n *Node) Text() (string, error) {
	if n == nil {
		return "", fmt.Errorf("not there")
	}
	if s, ok := n.value.(string); ok {
		return s, nil
	}
	return "", fmt.Errorf("not a text")
}

// Texts returns the strings of an array; a bare string is an array of one.
func (n *Node) Texts() ([]string, error) {
	if n == nil {
		return nil, fmt.Errorf("not there")
	}
	if n.items == nil {
		s, err := n.Text()
		return []string{s}, err
	}
	out := make([]string, len(n.items))
	for i, c := range n.items {
		s, err := c.Text()
		if err != nil {
			return nil, fmt.Errorf("element %d: %w", i, err)
		}
		out[i] = s
	}
	return out, nil
}

// Bool returns the truth value at n.
func (n *Node) Bool() (bool, error) {
	if n == nil {
		return false, fmt.Errorf("not there")
	}
	if b, ok := n.value.(bool); ok {
		return b, nil
	}
	return false, fmt.Errorf("neither true nor false")
}

// A Matrix is a table of numbers. Rows is nil where the rows have no names.
type Matrix struct {
	Rows, Cols []string
	Data       [][]float64
}

// matrix reports whether n is a matrix, and returns it.
func (n *Node) matrix() (Matrix, bool) {
	if n == nil || n.fields == nil || n.fields["data"] == nil || n.fields["cols"] == nil || n.fields["data"].items == nil {
		return Matrix{}, false
	}
	cols, err := n.fields["cols"].Texts()
	if err != nil {
		return Matrix{}, false
	}
	m := Matrix{Cols: cols}
	if rows, err := n.fields["rows"].Texts(); err == nil {
		m.Rows = rows
	}
	for _, r := range n.fields["data"].items {
		row, err := r.Floats()
		if err != nil {
			return Matrix{}, false
		}
		m.Data = append(m.Data, row)
	}
	return m, true
}

// node returns row path[0] or cell path[0], path[1] of the matrix.
func (m Matrix) node(path []string) *Node {
	for i, name := range m.Rows {
		if name != path[0] {
			continue
		}
		row := &Node{keys: m.Cols, fields: map[string]*Node{}}
		for j, c := range m.Cols {
			row.fields[c] = &Node{value: jsonNumber(m.Data[i][j])}
		}
		return row.Get(path[1:]...)
	}
	return nil
}

// jsonNumber turns a number back into the value a JSON file would hold for it.
func jsonNumber(v float64) any {
	switch {
	case math.IsNaN(v):
		return nil
	case math.IsInf(v, 1):
		return "Inf"
	case math.IsInf(v, -1):
		return "-Inf"
	}
	return v
}
