package practice

// Partners is the list of partners that practice begins with, CSV: invented stations.
func Partners() string {
	return `name,locator,polarisation,note
Quarry Ridge,FN42hn,circular,"invented: 4.5 m mesh, 5760 MHz"
Juniper Flat,DM34xp,vertical,invented: 7 m offset
Wattle Plain,QF22ag,horizontal,invented: 3.7 m
Larch Hollow,JO62qm,circular,invented: 9 m
`
}
