package climate

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
)

// Station describes one built-in climate.
type Station struct {
	// Name is what a case gives as its station.
	Name         string  `json:"name"`
	Title        string  `json:"title"`
	LatitudeDeg  float64 `json:"latitude_deg"`
	LongitudeDeg float64 `json:"longitude_deg"`
	ElevationM   float64 `json:"elevation_m"`
	// Source holds the period, the licence and the attribution it asks for.
	Source string `json:"source"`
}

// Stations lists the built-in climates in order of name.
func Stations() []Station {
	out := make([]Station, len(builtIn))
	for i, s := range builtIn {
		out[i] = s.Station
	}
	return out
}

// station is a built-in climate before the rules of fill.go have run: given
// names the quantities that its file holds.
type station struct {
	Station
	site  Site
	given []string
}

//go:embed data/*.csv
var files embed.FS

var builtIn = mustLoadStations()

// mustLoadStations reads the embedded files: a first line of attribution, a
// header, then one row for each station and variable. A mistake in them is a
// mistake in the program, hence the panics.
func mustLoadStations() []station {
	var out []station
	for _, name := range []string{"data/dublin_airport.csv", "data/united_kingdom.csv"} {
		attribution, rows := mustReadTable(name)
		for _, row := range rows {
			if len(out) == 0 || out[len(out)-1].Name != row[0] {
				out = append(out, newStation(row, attribution))
			}
			out[len(out)-1].take(row[5], row[6:])
		}
	}
	slices.SortFunc(out, func(a, b station) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// mustReadTable returns an embedded file's first line, without its mark, and
// its rows below the header.
func mustReadTable(name string) (attribution string, rows [][]string) {
	text, err := fs.ReadFile(files, name)
	if err != nil {
		panic(err)
	}
	first, rest, _ := strings.Cut(string(text), "\n")
	rows, err = csv.NewReader(strings.NewReader(rest)).ReadAll()
	if err != nil {
		panic(fmt.Errorf("climate: %s: %w", name, err))
	}
	return strings.TrimPrefix(first, "# "), rows[1:]
}

func newStation(row []string, attribution string) station {
	s := Station{
		Name: row[0], Title: row[1], Source: attribution,
		LatitudeDeg: mustNumber(row[2]), LongitudeDeg: mustNumber(row[3]), ElevationM: mustNumber(row[4]),
	}
	return station{Station: s, site: Site{Station: s.Name, Source: attribution}}
}

// take writes one row of twelve values.
func (s *station) take(variable string, cells []string) {
	i := slices.IndexFunc(quantities, func(q quantity) bool { return q.field == variable })
	if i < 0 {
		panic("climate: unknown variable " + variable)
	}
	for month, cell := range cells {
		quantities[i].months(&s.site)[month] = mustNumber(cell)
	}
	s.given = append(s.given, variable)
}

// unfilled returns a copy of the station's site with its missing quantities
// listed for fill, so that the built-in data is never changed.
func (s *station) unfilled() Site {
	site := s.site
	for _, q := range quantities {
		if !slices.Contains(s.given, q.field) {
			site.Filled = append(site.Filled, Filled{Field: q.field})
		}
	}
	return site
}

func mustNumber(cell string) float64 {
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		panic(fmt.Errorf("climate: %w", err))
	}
	return v
}

// nearestNames lists the three built-in names most like the given one. The given
// name is cut first, so that a hostile one costs nothing.
func nearestNames(given string) []string {
	const longest, shown = 40, 3
	letters := []rune(strings.ToLower(given))
	short := string(letters[:min(len(letters), longest)])
	stations := slices.Clone(builtIn)
	slices.SortStableFunc(stations, func(a, b station) int {
		return unlikeness(short, a.Name) - unlikeness(short, b.Name)
	})
	var names []string
	for _, s := range stations[:shown] {
		names = append(names, s.Name)
	}
	return names
}

// unlikeness is the number of letters to change, or 0 where one name is a part
// of the other.
func unlikeness(given, name string) int {
	const leastPart = 3
	if len(given) >= leastPart && (strings.Contains(name, given) || strings.Contains(given, name)) {
		return 0
	}
	return editDistance([]rune(given), []rune(name))
}

// editDistance is Levenshtein's: the fewest letters to insert, delete or
// replace to turn one word into the other.
func editDistance(a, b []rune) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range b {
			substitute := diagonal
			if x != y {
				substitute++
			}
			diagonal = row[j+1]
			row[j+1] = min(substitute, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
