"""The season's calendar read by the icalendar package (RFC 5545), its days beside those of `timing --json`."""

from datetime import date, datetime, timedelta, timezone

import icalendar

from tools import DAY, expect


def entries(product, *day):
    path = product.scratch / "season.ics"
    dates = product.json("timing", product.pellwood(), *day, "--ics", path)
    text = path.read_bytes()
    expect(all(len(line) <= 75 for line in text.split(b"\r\n")), "a line longer than 75 octets")
    calendar = icalendar.Calendar.from_ical(text)
    expect(calendar["VERSION"] == "2.0" and calendar["PRODID"], "VERSION and PRODID are needed")
    faults = [e for part in calendar.walk() for e in getattr(part, "errors", [])]
    expect(not faults, f"icalendar found {faults}")
    return {str(e["UID"]): e for e in calendar.walk("VEVENT")}, dates


def check_calendar(product):
    """Every window and the notices: whole days, the right ones, under names that stay when the forecast is renewed."""
    events, dates = entries(product, *DAY)
    stamp = datetime.combine(date.fromisoformat(dates["issued"]), datetime.min.time(), timezone.utc)
    told = [w for w in dates["windows"] if w["opens"] and w["closes"]]
    for window in told:
        uid = f"{dates['season']}-{dates['station']}-{window['window']}@crownhold".replace(" ", "-").lower()
        expect(uid in events, f"{uid} is not among {sorted(events)}")
        event = events[uid]
        expect(event["DTSTART"].dt == date.fromisoformat(window["opens"]), f"{uid} begins {event['DTSTART'].dt}")
        expect(event["DTEND"].dt == date.fromisoformat(window["closes"]) + timedelta(days=1), f"{uid} ends {event['DTEND'].dt}")
        expect(event["DTSTAMP"].dt == stamp, f"{uid} is stamped {event['DTSTAMP'].dt}")
        expect(window["rule"] in str(event["DESCRIPTION"]), f"{uid} does not tell its rule")
    notices = [e for uid, e in events.items() if "-notices@" in uid]
    expect(len(notices) == 1 and len(events) == len(told) + 1, f"{len(events)} entries for {len(told)} windows")
    flight = next(w for w in told if "aerial" in w["window"])
    ahead = date.fromisoformat(flight["opens_p05"]) - notices[0]["DTSTART"].dt
    expect(timedelta(days=5) <= ahead <= timedelta(days=60), f"notices {ahead} before the early edge")
    later, _ = entries(product, "--on", "2027-04-20")
    expect(set(later) == set(events), "entries change their names when the forecast is renewed")
    return f"{len(told)} windows and the notices: whole days of `timing --json`, lines folded, same names on a later day"
