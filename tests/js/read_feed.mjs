// Reads a feed from the input with ical.js and prints its events: identity, first day, the day after, title, text.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(`${process.argv[2]}/package.json`);
const { default: ICAL } = await import(require.resolve("ical.js"));
const calendar = new ICAL.Component(ICAL.parse(readFileSync(0, "utf8")));
const events = calendar.getAllSubcomponents("vevent").map((part) => {
  const event = new ICAL.Event(part);
  if (!event.startDate.isDate || !event.endDate.isDate) throw new Error(`${event.uid} is not of whole days`);
  return [event.uid, event.startDate.toString(), event.endDate.toString(), event.summary ?? "", event.description ?? ""];
});
process.stdout.write(JSON.stringify(events));
