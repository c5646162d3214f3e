/** Bodies of the routes of sounds. */
import { z } from 'zod';

const change = {
  title: z.string().trim().min(1, 'a title is needed').max(200).optional(),
  date: z.iso.date('not a date of the form YYYY-MM-DD').optional(),
  setup: z.string().trim().max(200).optional(),
  options: z.record(z.string(), z.unknown()).optional(),
};

/** Body of `PATCH /api/sounds/:id`. */
export const soundChangeShape = z.strictObject(change);

/** Body of `POST /api/sounds`. */
export const newSoundShape = z.strictObject({
  kind: z.enum(['noise', 'plucks']),
  upload: z.string().min(1).max(100),
  ...change,
});

/** Body of `POST /api/sounds/uploads`. */
export const newUploadShape = z.strictObject({
  file: z.string().min(1).max(1000),
  bytes: z.int().min(0),
});
