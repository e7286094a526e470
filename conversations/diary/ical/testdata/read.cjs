// Reads calendar files with ical.js (MPL-2.0, not part of this project) and says
// what it found: an array of texts in, an array of calendars out, as JSON.
// Usage: node read.cjs PATH-OF-ICAL.JS
const ICAL = require(process.argv[2] + "/dist/ical.es5.cjs");
const text = require("fs").readFileSync(0, "utf8");
const first = (component, name) => component.getFirstPropertyValue(name) ?? "";
const calendars = JSON.parse(text).map((source) => {
  const calendar = new ICAL.Component(ICAL.parse(source));
  return {
    version: first(calendar, "version"),
    product: first(calendar, "prodid"),
    method: first(calendar, "method"),
    events: calendar.getAllSubcomponents("vevent").map((event) => ({
      uid: first(event, "uid"),
      sequence: first(event, "sequence"),
      stamp: first(event, "dtstamp").toJSDate().toISOString(),
      start: first(event, "dtstart").toJSDate().toISOString(),
      end: first(event, "dtend").toJSDate().toISOString(),
      zone: first(event, "dtstart").zone.tzid,
      status: first(event, "status"),
      summary: first(event, "summary"),
      description: first(event, "description"),
      location: first(event, "location"),
      organizer: first(event, "organizer"),
      attendee: first(event, "attendee"),
    })),
  };
});
process.stdout.write(JSON.stringify(calendars));
