//go:build planted && !long

package endtoend

// everyAttack says whether the long rows are tried as well.
const everyAttack = false
