/** Request bodies, bounded in size and checked before anything else sees them. */
import type { Context } from 'hono';
import { z } from 'zod';
import { LapbenchError, maximumFileBytes, type DayEdit } from '../application/index.ts';

export const maximumTextBytes = 1024 * 1024;

/** The raw body, refused as soon as it is longer than `limit`, whatever its header said. */
export async function bytesOfBody(c: Context, limit = maximumFileBytes): Promise<Uint8Array> {
  const announced = Number(c.req.header('content-length') ?? 0);
  if (announced > limit) throw tooLarge(limit);
  const stream = c.req.raw.body;
  if (!stream) return new Uint8Array(0);
  const parts: Uint8Array[] = [];
  let length = 0;
  for await (const part of stream as unknown as AsyncIterable<Uint8Array>) {
    length += part.length;
    if (length > limit) throw tooLarge(limit);
    parts.push(part);
  }
  return Buffer.concat(parts, length);
}

/** The body as text; refused when it is not UTF-8. */
export async function textOfBody(c: Context): Promise<string> {
  const bytes = await bytesOfBody(c, maximumTextBytes);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new LapbenchError({
      code: 'sheet-syntax',
      message: 'The text is not UTF-8.',
      remedy: 'Save it as UTF-8 and send it again.',
    });
  }
}

/** The body as JSON of a given shape. */
export async function jsonOfBody<T>(c: Context, shape: z.ZodType<T>): Promise<T> {
  const text = await textOfBody(c);
  let data: unknown;
  try {
    data = JSON.parse(text === '' ? '{}' : text);
  } catch {
    throw new LapbenchError({
      code: 'usage',
      message: 'The body is not JSON.',
      remedy: 'Send JSON as src/server/API.md shows it.',
    });
  }
  const checked = shape.safeParse(data);
  if (checked.success) return checked.data;
  throw new LapbenchError(
    checked.error.issues.map((issue) => ({
      code: 'usage' as const,
      place: { field: issue.path.join('.') },
      message: `${issue.message}.`,
      remedy: 'Send what src/server/API.md shows.',
    })),
  );
}

/** Body of `POST /api/days`. */
export const newDayShape = z.union([
  z.strictObject({ sheet: z.string() }),
  z.strictObject({
    title: z.string().max(200).optional(),
    date: z.iso.date('not a date of the form YYYY-MM-DD').optional(),
  }),
]);

const run = z.int().min(1).max(10_000);
const id = z.string().min(1).max(200);
const fields = z.string().min(1).max(400);

const editShape = z.discriminatedUnion('op', [
  z.strictObject({ op: z.literal('set'), path: fields, value: z.unknown() }),
  z.strictObject({ op: z.literal('unset'), path: fields }),
  z.strictObject({ op: z.literal('add-setup'), setup: z.looseObject({ id }) }),
  z.strictObject({ op: z.literal('rename-setup'), setup: id, to: id }),
  z.strictObject({ op: z.literal('remove-setup'), setup: id }),
  z.strictObject({ op: z.literal('set-control'), setup: id }),
  z.strictObject({ op: z.literal('add-run'), run: z.looseObject({ file: id }) }),
  z.strictObject({ op: z.literal('remove-run'), run }),
  z.strictObject({ op: z.literal('set-run'), run, setup: id.nullable() }),
  z.strictObject({
    op: z.literal('overrule-lap'),
    run,
    lap: run,
    use: z.boolean(),
    reason: z.string().max(500).nullable(),
  }),
  z.strictObject({ op: z.literal('clear-overrule'), run, lap: run }),
]);

/** Body of `PATCH /api/days/:id/edit`. */
export const editsShape = z.strictObject({
  edits: z.array(editShape).min(1).max(500) as unknown as z.ZodType<DayEdit[]>,
});

const wheelEdit = z.discriminatedUnion('op', [
  z.strictObject({
    op: z.literal('set'),
    path: fields,
    value: z.union([z.number(), z.string().max(5000), z.boolean()]),
  }),
  z.strictObject({ op: z.literal('unset'), path: fields }),
]);

const benchChange = {
  title: z.string().trim().min(1, 'a title is needed').max(200).optional(),
  date: z.iso.date('not a date of the form YYYY-MM-DD').optional(),
  setup: z.string().trim().max(200).optional(),
  input: z.string().optional(),
  options: z.record(z.string(), z.unknown()).optional(),
  edits: z.array(wheelEdit).max(200).optional(),
};

/** Body of `PATCH /api/bench/:id`. */
export const benchChangeShape = z.strictObject(benchChange);

/** Body of `POST /api/bench`. */
export const newBenchShape = z.strictObject({
  kind: z.enum(['stiffness', 'tension', 'wheel']),
  ...benchChange,
});

function tooLarge(limit: number): LapbenchError {
  return new LapbenchError({
    code: 'file-too-large',
    message: `The body is over ${(limit / 1e6).toFixed(0)} MB.`,
    remedy:
      limit === maximumTextBytes
        ? 'Send a text of the size that a person writes.'
        : 'Cut the recording to the hours of the test.',
  });
}
