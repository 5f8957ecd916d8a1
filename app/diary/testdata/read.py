"""Reads a calendar with two libraries that others wrote, and prints what they found.

icalendar refuses properties that aren't well formed; vobject checks that each
component holds what RFC 5545 demands of it and nothing that it forbids.
"""
import sys

import icalendar
import vobject

text = sys.stdin.buffer.read()
for component in icalendar.Calendar.from_ical(text).walk():
    assert not component.errors, component.errors
    if component.name == "VEVENT":
        print(component["UID"], component["DTSTART"].dt.isoformat(), component["DTEND"].dt.isoformat(),
              component["SUMMARY"], sum(1 for part in component.walk() if part.name == "VALARM"), sep="|")
calendar = vobject.readOne(text.decode(), validate=True)
print(calendar.validate(raiseException=True), len(calendar.vevent_list))
