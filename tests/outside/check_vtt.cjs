// Reads {"kind": "captions" | "chapters" | "metadata", "text": "..."} a line, writes the parser's list of errors a line.
const { WebVTTParser } = require("webvtt-parser");
const entities = require("webvtt-parser/html-entities.json");
const lines = require("fs").readFileSync(0, "utf8").split("\n").filter(Boolean);
for (const line of lines) {
  const { kind, text } = JSON.parse(line);
  const tree = new WebVTTParser(entities).parse(text, kind);
  console.log(JSON.stringify({ errors: tree.errors, cues: tree.cues.map((c) => [c.startTime, c.endTime, c.text]) }));
}
