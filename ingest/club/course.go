package club

import (
	"os"
	"slices"
	"strings"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
)

// A Course is how one quantity of one keeper, tank and place went on, in the order of
// the table. Readings without a time or a value are left out.
type Course struct {
	Keeper, System, Place, Quantity string

	At    []int64   // seconds since 1970 in UTC
	Value []float64 // in the unit that the name of the quantity ends with
}

// Courses puts readings together, in the order in which each course begins.
func Courses(readings []Reading) []Course {
	var list courseList
	for i := range readings {
		r := &readings[i]
		if r.At.OK && r.Value.OK {
			list.put(r.Keeper, r.System, r.Place, r.Quantity, r.At.V.Unix(), r.Value.V)
		}
	}
	return list.courses
}

type courseKey struct{ keeper, system, place, quantity string }

// A courseList is courses that grow.
type courseList struct {
	courses []Course
	place   map[courseKey]int
	last    *Course // of the reading before
}

// put adds a reading. The texts may belong to memory that is used again.
func (l *courseList) put(keeper, system, place, quantity string, at int64, value float64) {
	c := l.last
	if c == nil || c.Quantity != quantity || c.System != system || c.Keeper != keeper || c.Place != place {
		c = l.find(courseKey{keeper, system, place, quantity})
	}
	c.At, c.Value = append(c.At, at), append(c.Value, value)
}

func (l *courseList) find(k courseKey) *Course {
	n, known := l.place[k]
	if !known {
		k = courseKey{strings.Clone(k.keeper), strings.Clone(k.system), strings.Clone(k.place), strings.Clone(k.quantity)}
		if l.place == nil {
			l.place = map[courseKey]int{}
		}
		n = len(l.courses)
		l.place[k] = n
		l.courses = append(l.courses, Course{Keeper: k.keeper, System: k.system, Place: k.place, Quantity: k.quantity})
	}
	l.last = &l.courses[n]
	return l.last
}

// Dated is the readings that belong to tables which have been loaded, read only when
// they are asked for. They stay those of the same generation, whatever is written
// meanwhile.
type Dated struct {
	club   *Club
	schema Schema
	entry  TableFile
	name   string
	file   *os.File
}

// LoadButReadings reads all tables but the readings, which may be many and are not
// needed by every question.
func (c *Club) LoadButReadings() (Tables, *Dated, error) {
	schemas := c.Schemas()
	k := slices.IndexFunc(schemas, func(s Schema) bool { return s.Table == TableReadings })
	d := &Dated{club: c, schema: schemas[k]}
	m, files, err := c.openTables(slices.Delete(schemas, k, k+1), d)
	if err != nil {
		return Tables{}, nil, err
	}
	defer closeAll(files)
	var t Tables
	if err := c.decode(m, files, schemas[:len(schemas)-1], &t, nil); err != nil {
		d.Close()
		return Tables{}, nil, err
	}
	return t, d, nil
}

// Len is how many readings there are, with those that have no time or no value.
func (d *Dated) Len() int { return int(d.entry.Rows) }

// Close lets go of the file.
func (d *Dated) Close() error { return d.file.Close() }

// Courses reads the readings of some quantities. Like Load, it verifies the whole file
// before it decodes anything in it, and gives a Fault where it is damaged.
func (d *Dated) Courses(quantities ...string) ([]Course, error) {
	if err := d.entry.verify(d.name, d.file); err != nil {
		return nil, err
	}
	var list courseList
	column := map[string]int{}
	for i, c := range d.schema.Columns {
		column[c.Name] = i
	}
	err := eachVerified(d.file, d.name, d.entry, d.schema, d.club.mem, func(rec arrow.Record) error {
		return recovered(func() error {
			text := func(name string) *array.String { return rec.Column(column[name]).(*array.String) }
			keeper, system, place, quantity := text("keeper"), text("system"), text("place"), text("quantity")
			at, value := rec.Column(column["at"]), rec.Column(column["value"])
			seconds, numbers := whenKind.array(at), numberKind.array(value)
			asked, wanted := "", slices.Contains(quantities, "")
			for i := range seconds {
				if q := quantity.Value(i); q != asked {
					asked, wanted = q, slices.Contains(quantities, q)
				}
				if wanted && at.IsValid(i) && value.IsValid(i) {
					list.put(keeper.Value(i), system.Value(i), place.Value(i), asked, seconds[i], numbers[i])
				}
			}
			return nil
		})
	}, nil)
	return list.courses, err
}
