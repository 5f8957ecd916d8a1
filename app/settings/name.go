package settings

import "strings"

// units are the ends of keys that their unit says again.
func units() []string {
	return []string{"_deg_per_s3", "_deg_per_s2", "_deg_per_s", "_mv_per_db", "_beamwidths", "_percent", "_per_s",
		"_deg", "_mps", "_min", "_hpa", "_ms", "_mv", "_db", "_mm", "_hz", "_k", "_w", "_m", "_c", "_a", "_s"}
}

// nameOf is the name of a key in words, without its section and unit.
func nameOf(key string) string {
	parts := strings.Split(key, ".")
	name := parts[len(parts)-1]
	if parts[0] == "readings" && len(parts) == 3 {
		return strings.ReplaceAll(name, "_", " ")
	}
	name = strings.Replace(name, "ut1_minus_utc", "UT1_minus_UTC", 1)
	for _, u := range units() {
		if strings.HasSuffix(name, u) && len(name) > len(u) {
			name = strings.TrimSuffix(name, u)
			break
		}
	}
	return strings.ReplaceAll(name, "_", " ")
}
