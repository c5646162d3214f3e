import { isAlias, isMap, isScalar, isSeq, Lexer, LineCounter, parseDocument } from 'yaml';
import type { Document, ParsedNode, YAMLError } from 'yaml';
import { LapbenchError } from '../core/units/index.ts';
import type { Place, Problem } from '../core/units/index.ts';

/** A day sheet of forty runs with remarks is under 10 kB; the bounds stop hostile text, not people. */
export const sheetLimits = {
  characters: 262_144,
  tokens: 40_000,
  backslashes: 4_000,
  nodes: 20_000,
  depth: 12,
  aliases: 100,
  problems: 50,
};

const dayLeast = 'a title, a date, the system mass, the setups and the runs';

/** A sheet's text as plain data, with the place of every value. */
export interface ParsedSheet {
  data: unknown;
  document: Document<ParsedNode>;
  /** Place of the value at a dotted path (`runs.1.setup`, list places from 0), or of its nearest parent. */
  placeOf: (field: string) => Place;
  /** Place of the key itself, for a key that should not be there. */
  placeOfKey: (field: string) => Place;
}

/** YAML 1.2 core: no custom tags, no merge keys, no times read as base-60 numbers. */
export const yamlOptions = {
  schema: 'core',
  merge: false,
  resolveKnownTags: false,
  uniqueKeys: false, // checked below in linear time
  prettyErrors: false,
  logLevel: 'error',
} as const;

/**
 * Reads YAML (and so JSON) into plain data: text, numbers, true/false, null, lists, maps. `least`: what a
 * sheet of this kind must hold, for the message about an empty one.
 *
 * @throws LapbenchError `file-empty`, `file-too-large` or `sheet-syntax`, with all places.
 */
export function parseSheet(text: string, file: string, least = dayLeast): ParsedSheet {
  refuseHostileText(text, file);
  const lines = new LineCounter();
  const document = parseDocument(text, { ...yamlOptions, lineCounter: lines });
  const at = (offset: number): Place => {
    const { line, col } = lines.linePos(Math.max(0, offset));
    return { line: Math.max(1, line), column: Math.max(1, col) };
  };
  const problems: Problem[] = [];
  const say = (place: Place, message: string, remedy: string): void => {
    problems.push({ code: 'sheet-syntax', file, place, message, remedy });
  };

  for (const error of document.errors.slice(0, sheetLimits.problems)) {
    const [message, remedy] = plainSyntaxError(error);
    say(at(error.pos[0]), message, remedy);
  }
  for (const warning of document.warnings.slice(0, sheetLimits.problems)) {
    say(
      at(warning.pos[0]),
      'Tags (words that begin with "!") and YAML directives are not used in a sheet.',
      'Take the tag away and write the plain value.',
    );
  }
  if (problems.length > 0) throw new LapbenchError(problems);
  if (
    document.contents === null ||
    (isScalar(document.contents) && document.contents.value === null)
  ) {
    throw new LapbenchError({
      code: 'file-empty',
      file,
      message: 'The sheet is empty.',
      remedy: `Write at least ${least}.`,
    });
  }

  const values = new Map<string, number>();
  const keys = new Map<string, number>();
  const data = toPlain(document, { values, keys, at, say });
  if (problems.length > 0) throw new LapbenchError(problems.slice(0, sheetLimits.problems));

  const lookUp = (offsets: Map<string, number>, field: string): Place => {
    const own = offsets.get(field);
    if (own !== undefined) return at(own);
    let parent = field;
    while (parent !== '') {
      parent = parent.includes('.') ? parent.slice(0, parent.lastIndexOf('.')) : '';
      const offset = values.get(parent);
      if (offset !== undefined) return at(offset);
    }
    return { line: 1, column: 1 };
  };
  return {
    data,
    document,
    placeOf: (field) => ({ ...lookUp(values, field), field }),
    placeOfKey: (field) => ({ ...lookUp(keys, field), field }),
  };
}

/** Stops, before anything is built from it, text whose size or nesting would cost minutes. */
function refuseHostileText(text: string, file: string): void {
  const refuse = (
    code: 'file-too-large' | 'sheet-syntax',
    message: string,
    line?: number,
  ): never => {
    throw new LapbenchError({
      code,
      file,
      place: line === undefined ? undefined : { line },
      message,
      remedy: 'Check that this file is the sheet meant, a short text.',
    });
  };
  if (text.length > sheetLimits.characters) {
    refuse(
      'file-too-large',
      `The sheet is ${Math.ceil(text.length / 1024)} kB long; at most ${sheetLimits.characters / 1024} kB are read.`,
    );
  }
  // Each wrong escape is an error of its own to the parser: a hundred thousand take seconds.
  if (text.split('\\').length > sheetLimits.backslashes) {
    refuse('file-too-large', 'The sheet has too many backslashes.');
  }
  let tokens = 0;
  let line = 1;
  let flowDepth = 0;
  let indicatorsInLine = 0;
  for (const token of new Lexer().lex(text)) {
    tokens += 1;
    if (tokens > sheetLimits.tokens)
      refuse('file-too-large', 'The sheet has too many entries.', line);
    if (token === '[' || token === '{') flowDepth += 1;
    else if (token === ']' || token === '}') flowDepth -= 1;
    else if (token === '-' || token === '?') indicatorsInLine += 1;
    else if (token === '\n' || token === '\r\n') {
      line += 1;
      indicatorsInLine = 0;
    }
    if (flowDepth > sheetLimits.depth || indicatorsInLine > sheetLimits.depth) {
      refuse('sheet-syntax', 'The sheet is nested too deeply here.', line);
    }
  }
}

interface Walk {
  values: Map<string, number>;
  keys: Map<string, number>;
  at: (offset: number) => Place;
  say: (place: Place, message: string, remedy: string) => void;
}

/** Plain data from the YAML tree. Ours rather than the library's, so that size, depth and aliases are bounded and placed. */
function toPlain(document: Document<ParsedNode>, { values, keys, at, say }: Walk): unknown {
  const anchors = new Map<string, unknown>();
  let nodes = 0;
  let aliases = 0;
  let stopped = false;

  const stop = (offset: number, message: string): null => {
    if (!stopped)
      say(
        at(offset),
        message,
        'Write the values out plainly, as the example in the documentation does.',
      );
    stopped = true;
    return null;
  };

  const visit = (node: unknown, field: string, depth: number, offset: number): unknown => {
    nodes += 1;
    if (stopped) return null;
    const start = (node as { range?: [number, number, number] } | null)?.range?.[0] ?? offset;
    if (!values.has(field)) values.set(field, start);
    if (nodes > sheetLimits.nodes) return stop(start, 'The sheet has too many values.');
    if (depth > sheetLimits.depth) return stop(start, 'The sheet is nested too deeply here.');
    if (isAlias(node)) {
      aliases += 1;
      if (aliases > sheetLimits.aliases)
        return stop(start, 'The sheet repeats values by alias too often.');
      const anchored = anchors.get(node.source);
      if (anchored === undefined || anchored === null) {
        return stop(
          start,
          `The alias "*${shorten(node.source)}" stands for nothing that was written before it.`,
        );
      }
      return visit(anchored, field, depth + 1, start);
    }
    let result: unknown = null;
    const anchor = (node as { anchor?: string } | null)?.anchor;
    // Null while its own content is read, so that a value cannot contain itself.
    if (anchor) anchors.set(anchor, null);
    if (isScalar(node)) result = node.value;
    else if (isSeq(node)) {
      result = node.items.map((item, i) => visit(item, join(field, i), depth + 1, start));
    } else if (isMap(node)) {
      const map: Record<string, unknown> = Object.create(null) as Record<string, unknown>;
      for (const pair of node.items) {
        const keyStart =
          (pair.key as { range?: [number, number, number] } | null)?.range?.[0] ?? start;
        if (!isScalar(pair.key) || pair.key.value === null) {
          say(at(keyStart), 'A key must be one plain word.', 'Write "key: value".');
          continue;
        }
        const key = String(pair.key.value);
        const path = join(field, key);
        if (key in map) {
          say(
            at(keyStart),
            `The key "${shorten(key)}" is written twice here.`,
            'Keep one of the two.',
          );
          continue;
        }
        keys.set(path, keyStart);
        map[key] = visit(pair.value, path, depth + 1, keyStart);
      }
      result = map;
    }
    if (anchor) anchors.set(anchor, node);
    return result;
  };
  return visit(document.contents, '', 0, 0);
}

const join = (field: string, part: string | number): string =>
  field === '' ? `${part}` : `${field}.${part}`;

/** Text from a sheet, fit to stand in a message: one line, at most 60 characters, no control characters. */
export function shorten(text: string): string {
  const clean = text.replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]+/gu, ' ').trim();
  return clean.length > 60 ? `${clean.slice(0, 59)}…` : clean;
}

function plainSyntaxError(error: YAMLError): [message: string, remedy: string] {
  switch (error.code) {
    case 'TAB_AS_INDENT':
      return ['A tab is used to indent this line.', 'Use spaces to indent.'];
    case 'BAD_INDENT':
      if (error.message.startsWith('Flow')) {
        return [
          'A bracket that was opened is not closed before this line.',
          'Close it with "]" or "}".',
        ];
      }
      return [
        'This line is not indented like the lines it belongs with.',
        'Line it up with its neighbours, with spaces.',
      ];
    case 'MULTIPLE_DOCS':
      return ['A second document begins here ("---").', 'Keep one day in one file.'];
    case 'MISSING_CHAR':
      return [
        `A sign is missing here: ${shorten(error.message)}.`,
        'Close every quote and bracket, and put a space after each colon.',
      ];
    case 'BLOCK_AS_IMPLICIT_KEY':
    case 'MULTILINE_IMPLICIT_KEY':
    case 'KEY_OVER_1024_CHARS':
      return [
        'A key must be one short word on one line.',
        'Put text that contains ": " in quotes.',
      ];
    case 'BAD_DQ_ESCAPE':
      return [
        'A backslash in this quoted text means nothing.',
        "Use 'single quotes' around text with backslashes.",
      ];
    case 'BAD_ALIAS':
      return [`A value may not begin with "*" or "&" as it does here.`, 'Put the text in quotes.'];
    case 'RESOURCE_EXHAUSTION':
      return ['The sheet is nested too deeply.', 'Check that this file is the sheet meant.'];
    default:
      return [
        `This cannot be read as YAML: ${shorten(error.message)}.`,
        'Check the indentation, quotes and brackets of this line and of the one before.',
      ];
  }
}

/** Problems in the order of the lines, at most `sheetLimits.problems`, and how many more there are. */
export function inOrder(problems: Problem[], file: string): Problem[] {
  const line = (problem: Problem): number => problem.place?.line ?? 0;
  const column = (problem: Problem): number => problem.place?.column ?? 0;
  const sorted = [...problems].sort((a, b) => line(a) - line(b) || column(a) - column(b));
  const left = sorted.length - sheetLimits.problems;
  if (left <= 0) return sorted;
  return [
    ...sorted.slice(0, sheetLimits.problems),
    {
      code: 'sheet-field',
      file,
      message: `There are ${left} more problems.`,
      remedy: 'Mend the ones above first.',
    },
  ];
}
