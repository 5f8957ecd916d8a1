package view

import "beamhelm/app/desk"

// AlarmLine says how many alarms and warnings there are, and the gravest that holds now; brief counts those of the
// worst grade alone, where all have no room.
func AlarmLine(alarms []desk.Alarm) (line Pair, brief string) {
	var count, unseen [desk.AlarmGrade + 1]int
	worst := desk.Normal
	for _, alarm := range alarms {
		worst = max(worst, alarm.Grade)
		count[alarm.Grade]++
		if !alarm.Acknowledged {
			unseen[alarm.Grade]++
		}
	}
	words := func(g desk.Grade) string {
		names := [...][2]string{desk.Notice: {"notice", "notices"}, desk.Warning: {"warning", "warnings"},
			desk.AlarmGrade: {"alarm", "alarms"}}
		return Count(count[g], names[g][0], names[g][1])
	}
	acknowledged := func(words string, unseen int) string {
		if unseen == 0 {
			return words + ", acknowledged"
		}
		return words
	}
	if worst == desk.Normal {
		return Pair{Phrase{"No alarms", Faint}, Phrase{}}, "No alarms"
	}
	brief = acknowledged(words(worst), unseen[worst])
	all := brief
	if worst == desk.AlarmGrade && count[desk.Warning] > 0 {
		// The brief words stand for the warnings too.
		brief = acknowledged(words(worst), unseen[worst]+unseen[desk.Warning])
		all = acknowledged(words(worst)+", "+words(desk.Warning), unseen[worst]+unseen[desk.Warning])
	}
	return Pair{Phrase{all, GradeTone(worst, Faint)}, Phrase{alarmShown(alarms), Faint}}, brief
}

// alarmShown is what the line says of one alarm: the gravest that holds now, or else that the gravest has cleared.
func alarmShown(alarms []desk.Alarm) string {
	for _, alarm := range alarms {
		if alarm.Stands {
			return alarm.Words.String()
		}
	}
	return "Cleared: " + alarms[0].Words.String()
}

// AlarmState says how an alarm stands.
func AlarmState(alarm desk.Alarm) string {
	switch {
	case !alarm.ShelvedUntil.IsZero():
		return "shelved until " + HourMinute(alarm.ShelvedUntil.UTC())
	case alarm.Stands && alarm.Acknowledged:
		return "acknowledged"
	case alarm.Stands:
		return "new"
	}
	return "cleared, unacknowledged"
}
