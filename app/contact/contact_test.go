package contact

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// field is a data specifier of a file, read back byte by byte as the specification defines it, without our writer.
type field struct{ name, kind, data string }

// records reads an ADI file. Source: ADIF 3.1.4, section IV.A: <NAME:LENGTH[:TYPE]>DATA, LENGTH in
// bytes; <EOH> ends the header, <EOR> a record.
func records(t *testing.T, file string) (all [][]field) {
	t.Helper()
	var record []field
	for i := strings.IndexByte(file, '<'); i >= 0 && i < len(file); {
		end := i + strings.IndexByte(file[i:], '>')
		tag := strings.Split(file[i+1:end], ":")
		rest := end + 1
		if len(tag) == 1 {
			if tag[0] != "EOH" && tag[0] != "EOR" {
				t.Fatalf("tag <%s>", tag[0])
			}
			all, record = append(all, record), nil
		} else {
			n, err := strconv.Atoi(tag[1])
			if err != nil || n < 1 || rest+n > len(file) {
				t.Fatalf("length of <%s>", strings.Join(tag, ":"))
			}
			f := field{name: tag[0], data: file[rest : rest+n]}
			if len(tag) == 3 {
				f.kind = tag[2]
			}
			record, rest = append(record, f), rest+n
			if !strings.HasPrefix(file[rest:], " ") {
				t.Errorf("%s: the length does not end at the data's end: %q", f.name, f.data)
			}
		}
		next := strings.IndexByte(file[rest:], '<')
		if next < 0 {
			return all
		}
		if strings.TrimSpace(file[rest:rest+next]) != "" {
			t.Errorf("between fields stands %q", file[rest:rest+next])
		}
		i = rest + next
	}
	return all
}

// types are the fields that we write with their types, and patterns those of the types.
// Source: ADIF 3.1.4, sections II.B (data types) and III.C (fields), from memory.
var types = map[string]string{
	"ADIF_VER": "String", "CREATED_TIMESTAMP": "String", "PROGRAMID": "String", "PROGRAMVERSION": "String",
	"QSO_DATE": "Date", "TIME_ON": "Time", "CALL": "String", "BAND": "Band", "FREQ": "Number", "MODE": "Mode",
	"PROP_MODE": "Propagation",
	"RST_SENT":  "String", "RST_RCVD": "String", "GRIDSQUARE": "GridSquare", "MY_GRIDSQUARE": "GridSquare",
	"GRIDSQUARE_EXT": "GridSquareExt", "MY_GRIDSQUARE_EXT": "GridSquareExt",
	"STATION_CALLSIGN": "String",
	"OPERATOR":         "String", "TX_PWR": "Number", "ANT_AZ": "Number", "ANT_EL": "Number", "COMMENT": "String",
}

var patterns = map[string]*regexp.Regexp{
	"String": regexp.MustCompile(`^[ -~]+$`), "Number": regexp.MustCompile(`^-?\d*\.?\d+$`),
	"Date":          regexp.MustCompile(`^(19[3-9]\d|[2-9]\d{3})(0[1-9]|1[0-2])(0[1-9]|[12]\d|3[01])$`),
	"Time":          regexp.MustCompile(`^([01]\d|2[0-3])([0-5]\d){2}$`),
	"GridSquare":    regexp.MustCompile(`(?i)^[A-R]{2}(\d{2}([A-X]{2}(\d{2})?)?)?$`),
	"GridSquareExt": regexp.MustCompile(`(?i)^[A-X]{2}(\d{2})?$`),
	"Band": regexp.MustCompile(
		`^(6m|4m|2m|1\.25m|70cm|33cm|23cm|13cm|9cm|6cm|3cm|1\.25cm|6mm|4mm|2\.5mm|2mm|1mm)$`),
	"Mode": regexp.MustCompile(`^(CW|SSB|MFSK)$`), "Propagation": regexp.MustCompile(`^EME$`),
}

func TestADIF(t *testing.T) {
	nan := math.NaN()
	contacts := []Contact{
		{At: time.Date(2027, 4, 14, 18, 4, 12, 5e8, time.FixedZone("here", 7200)), Call: "Quarry Ridge",
			Locator: "FN42hn",
			OwnCall: "Cold Harbour", OwnLocator: "IO85ma", Operator: "Mary",
			MHz: 1296.0655, Band: "1296 MHz", Mode: "CW", Sent: "O", Received: "-21", AzDeg: 116.53, ElDeg: 40.61,
			DopplerHz: -733.4, DegradationDB: 0.84,
			SystemK: 59.3, NoiseDB: 2.213, PowerW: 400, Comment: "größer als 50 % <EOR> of\nall, at −3 °C"},
		{At: time.Date(2027, 4, 15, 23, 59, 59, 0, time.UTC), Call: "Larch Hollow", Locator: "JO62qm21ab", MHz: 8000,
			Mode: "SSB", AzDeg: nan,
			ElDeg: nan, DopplerHz: -0.4, DegradationDB: nan, SystemK: nan, NoiseDB: nan, PowerW: math.Inf(1)},
	}
	all := records(t, string(ADIF(contacts, "0.1.0", time.Date(2027, 5, 1, 7, 8, 9, 0, time.UTC))))
	if len(all) != 3 {
		t.Fatalf("%d records", len(all))
	}
	for _, record := range all {
		seen := map[string]bool{}
		for _, f := range record {
			kind := types[f.name]
			if strings.HasPrefix(f.name, "APP_BEAMHELM_") && f.kind == "N" {
				kind = "Number"
			}
			if seen[f.name] || patterns[kind] == nil || !patterns[kind].MatchString(f.data) {
				t.Errorf("%s of type %q twice or wrong: %q", f.name, kind, f.data)
			}
			seen[f.name] = true
		}
	}
	at := func(record int, name string) string {
		for _, f := range all[record] {
			if f.name == name {
				return f.data
			}
		}
		return ""
	}
	for name, want := range map[string]string{
		"QSO_DATE": "20270414", "TIME_ON": "160412", "CALL": "QUARRY RIDGE", "BAND": "23cm", "FREQ": "1296.0655",
		"MODE": "CW", "PROP_MODE": "EME", "RST_RCVD": "-21",
		"GRIDSQUARE": "FN42hn", "ANT_AZ": "116.5", "ANT_EL": "40.6", "TX_PWR": "400", "APP_BEAMHELM_DOPPLER_HZ": "-733",
		"APP_BEAMHELM_DEGRADATION_DB": "0.8",
		"COMMENT":                     "gr??er als 50 % <EOR> of all, at -3 ?C",
	} {
		if got := at(1, name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	if len(all[2]) != 9 || at(2, "APP_BEAMHELM_DOPPLER_HZ") != "0" || at(2, "GRIDSQUARE") != "JO62qm21" ||
		at(2, "GRIDSQUARE_EXT") != "ab" || at(2, "BAND") != "" || at(2, "QSO_DATE") != "20270415" {
		t.Errorf("with nothing known: %+v", all[2])
	}
}

func TestValidate(t *testing.T) {
	for text, c := range map[string]Contact{
		"missing": {Call: " "}, "at most 20": {Call: strings.Repeat("x", 21)}, "ASCII": {Call: "Öl"},
		"locator":              {Call: "A", Locator: "ZZ99"},
		"report sent has more": {Call: "A", Sent: strings.Repeat("5", 21)},
		"comment":              {Call: "A", Comment: strings.Repeat("ä", 501)},
	} {
		if err := c.Validate(); err == nil || !strings.Contains(err.Error(), text) {
			t.Errorf("%q: %v", text, err)
		}
	}
	if err := (Contact{Call: "Quarry Ridge", Locator: "FN42hn",
		Comment: strings.Repeat("ä", 500)}).Validate(); err != nil {
		t.Error(err)
	}
}
