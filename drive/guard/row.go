package guard

// RowOf returns the row of a code; its Name is empty where there is none.
func RowOf(code Code) Row {
	for i := range rows {
		if rows[i].Code == code {
			return rows[i]
		}
	}
	return Row{}
}

// Rows returns every row in the order in which they are judged.
func Rows() []Row { return append([]Row(nil), rows[:]...) }

// String gives the row's name.
func (c Code) String() string {
	if c == None {
		return "none"
	}
	if name := RowOf(c).Name; name != "" {
		return name
	}
	return "unknown guard"
}

// Distrusts reports whether a finding of this row ends the trust in its axis.
func Distrusts(code Code) bool {
	for i := range rows {
		if rows[i].Code == code {
			return rows[i].Distrusts
		}
	}
	return false
}

// Locks reports whether a trip of this row locks out even where nothing was
// powered or moving.
func Locks(code Code) bool {
	for i := range rows {
		if rows[i].Code == code {
			return rows[i].Always
		}
	}
	return false
}

// Lower is the words as they go on in a sentence: an abbreviation keeps its capitals.
func Lower(words string) string {
	if len(words) < 2 || words[1] < 'a' || words[1] > 'z' {
		return words
	}
	return string(words[0]|0x20) + words[1:]
}
