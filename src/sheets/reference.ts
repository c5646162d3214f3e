import { dayJsonSchema } from './json-schema.ts';

interface Part {
  type?: string;
  description?: string;
  enum?: string[];
  minimum?: number;
  maximum?: number;
  properties?: Record<string, Part>;
  required?: string[];
  items?: Part;
  anyOf?: Part[];
}

/** The text of docs/day-sheet.md: every key of a day sheet, from the schema that checks it. */
export function daySheetReference(): string {
  const rows = [...rowsOf(dayJsonSchema() as Part, '')];
  return `# The day sheet

A short text file beside the recordings, \`day.yaml\` (or the same as JSON): what was ridden when, with what.
This page is made from the code that checks a sheet (\`node scripts/schemas.mjs\`); editors can use
[\`schemas/day.schema.json\`](../schemas/day.schema.json). Keys in **bold** must be there; where they stand
inside an optional group, they must be there when the group is. Everything is checked at once, and a mistake
is reported with its line.

\`\`\`yaml
title: Three wheelsets on the gravel-pit loop
date: 2026-05-17
system: {massKg: 83.2, massStandardUncertaintyKg: 0.3}
constants: {crr: 0.0045, crrStandardUncertainty: 0.0004, drivetrainEfficiency: 0.975}
weather: {temperatureC: 15, pressureHPa: 1010, relativeHumidityPercent: 60}
course: {kind: loop}
setups:
  - {id: control, name: Shallow pair, wheelInertiaKgM2: 0.14}
  - {id: deep, name: Deep pair, wheelInertiaKgM2: 0.17, massOffsetKg: 0.1}
control: control
runs:
  - {setup: control, file: run-1.fit}
  - {setup: deep, file: run-2.csv, from: "00:00:30", to: "00:21:10"}
laps:
  - {run: 2, lap: 3, use: false, reason: a lorry}
reference: {speedKmh: 40, airDensityKgM3: 1.2}
\`\`\`

| key | value | what it is |
| --- | --- | --- |
${rows.join('\n')}
`;
}

function* rowsOf(part: Part, path: string): Generator<string> {
  for (const [key, child] of Object.entries(part.properties ?? {})) {
    const name = `${path}${key}`;
    const shown = `\`${name}\``;
    const cell = (text: string): string => text.replaceAll('|', '\\|').replaceAll('\n', ' ');
    yield `| ${part.required?.includes(key) ? `**${shown}**` : shown} | ${cell(valueOf(child))} | ${cell(child.description ?? '')} |`;
    // One line says all there is to say of each CSV column.
    if (name.startsWith('csv.columns.')) continue;
    yield* rowsOf(child.items ?? child, `${name}${child.items ? '[]' : ''}.`);
  }
}

function valueOf({ type, enum: words, minimum, maximum, anyOf, items, properties }: Part): string {
  if (anyOf) return anyOf.map(valueOf).join(' or ');
  if (words) return words.join(', ');
  if (items) return 'list';
  if (properties?.column) return `{column, unit}; unit: ${valueOf(properties.unit)}`;
  if (properties) return 'group';
  if (type === 'number' || type === 'integer') return `${minimum} to ${maximum}`;
  if (type === 'boolean') return 'true, false';
  return 'text';
}
