import type { SheetForm } from './sheet-form.ts';
import type { DayWork } from './use-day.ts';

/** What each part of a day's screen is given. */
export interface DayPart {
  id: string;
  work: DayWork;
  /** The sheet as the forms see it; null when its text cannot be read. */
  form: SheetForm | null;
}
