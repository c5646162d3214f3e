/** What made a brake noise, in words and columns. */
import { describeProblem } from '../core/units/index.ts';
import type { BrakeNoiseFinding, Explanation, Pluck, Tone } from './contract-sounds.ts';
import { intervalDigits, plain } from './digits.ts';
import { fold, textTable } from './text-table.ts';

/** Rows of tones shown; the JSON has them all. */
const mostTones = 12;
/** Recorders' clocks are good for some 50 in a million, whatever the scatter (common practice, no source). */
const mostPitchDigits = 1;

const pitchDigits = (ci95: readonly [number, number]): number =>
  Math.min(mostPitchDigits, intervalDigits(ci95));

/** One sentence: the likeliest cause and how likely. */
export function noiseHeadline({ explanations, tones }: BrakeNoiseFinding): string {
  if (explanations.length === 0)
    return tones.length === 0 ? 'No steady tone was heard.' : 'The tones heard explain nothing.';
  const [first] = ranked(explanations);
  const odds = oddsInWords(first.odds);
  return first.odds >= 0.5
    ? `Most likely ${first.cause} (${odds}).`
    : `Undecided; first comes ${first.cause} (${odds}).`;
}

/** The whole finding as text. */
export function describeNoise(finding: BrakeNoiseFinding): string {
  const { warnings, cautions } = finding;
  const blocks = [
    `What made the noise\n${fold(noiseHeadline(finding))}\n${fold(heard(finding))}`,
    explanations(finding),
    tones(finding),
    plucks(finding),
    suggestions(finding),
    notes('Warnings', warnings.map(describeProblem)),
    notes('Cautions', cautions),
    foot(finding),
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}

/** One sentence about a recording of plucks. */
export function plucksHeadline(plucks: readonly { used: boolean }[], torqueNm: number): string {
  const used = plucks.filter((pluck) => pluck.used).length;
  const under = torqueNm === 0 ? 'free' : `under ${Number(torqueNm.toPrecision(3))} N m`;
  if (plucks.length === 0) return 'No pluck was heard.';
  return `${used} of ${plucks.length} plucks used, wheel ${under}.`;
}

const ranked = (all: readonly Explanation[]): Explanation[] =>
  [...all].sort((a, b) => b.odds - a.odds);

/** Odds rest on stated guesses: whole percents, and none of 0 or 100. */
function oddsInWords(odds: number): string {
  const percent = Math.round(100 * odds);
  if (percent < 1) return 'under 1 %';
  return percent > 99 ? 'over 99 %' : `${percent} %`;
}

function heard({ sound, alignment, wheel, brakeTorqueNm: torque }: BrakeNoiseFinding): string {
  const { durationS, encoding, sampleRateHz, channelUsed } = sound;
  const parts = [
    `${lasting(durationS)} of ${encoding} at ${sampleRateHz} Hz (channel: ${channelUsed}).`,
    wheel === null ? 'No wheel sheet.' : `Wheel: ${wheel.name}.`,
    alignment === null
      ? 'No ride beside it, so whether a tone follows the wheel is not known.'
      : `The sound begins ${lasting(alignment.offsetS)} into the ride (${alignment.how === 'told' ? 'as told' : 'by the clocks'}, give or take ${alignment.uncertaintyS} s).`,
    torque === null
      ? ''
      : `Brake torque ${plain(torque.value, 0)} N m (${plain(torque.ci95[0], 0)} to ${plain(torque.ci95[1], 0)}), ${torque.basis}.`,
  ];
  return parts.filter((part) => part !== '').join(' ');
}

function explanations(finding: BrakeNoiseFinding): string {
  const lines = ranked(finding.explanations).map((one) => {
    const of = one.tones.length === 0 ? '' : ` (${counted(one.tones.length, 'tone')})`;
    return `${fold(`${oddsInWords(one.odds).padStart(9)}  ${one.cause}${of}`, '  ')}\n${fold(one.why, '             ')}`;
  });
  return lines.length === 0 ? '' : `Explanations, likeliest first\n${lines.join('\n')}`;
}

function tones({ tones: all }: BrakeNoiseFinding): string {
  if (all.length === 0) return '';
  const right = (title: string) => ({ title, align: 'right' as const });
  const columns = [
    right('tone'),
    right('Hz'),
    right('95 % interval'),
    right('dB'),
    right('over noise'),
    right('from s'),
    right('to s'),
    { title: 'follows the wheel' },
    { title: 'harmonic of' },
  ];
  const rows = all.slice(0, mostTones).map((tone) => {
    const digits = pitchDigits(tone.ci95);
    return [
      String(tone.tone),
      plain(tone.hz, digits),
      `${plain(tone.ci95[0], digits)} to ${plain(tone.ci95[1], digits)}`,
      plain(tone.levelDb, 0),
      `${plain(tone.toneToNoiseDb, 0)} dB`,
      plain(tone.from, 1),
      plain(tone.to, 1),
      following(tone),
      tone.harmonicOf === null ? '' : `${tone.harmonicOf} (× ${tone.harmonic})`,
    ];
  });
  const rest = all.length > mostTones ? `\n  and ${all.length - mostTones} weaker ones` : '';
  return `Tones, strongest first (dB below full scale)\n${textTable(columns, rows)}${rest}`;
}

function following({ followsWheel, order, orderName }: Tone): string {
  if (followsWheel === null) return 'not known';
  if (!followsWheel) return 'no';
  const turns = order === null ? '' : `, ${plain(order, order < 10 ? 2 : 1)} a turn`;
  return `yes${turns}${orderName === null ? '' : ` (${orderName})`}`;
}

function plucks({ plucks: all }: BrakeNoiseFinding): string {
  if (all.length === 0) return '';
  const torques = [...new Set(all.map((pluck) => pluck.brakeTorqueNm))].sort((a, b) => a - b);
  const spokes = [...new Set(all.flatMap(({ used, spoke }) => (used ? [spoke!] : [])))];
  spokes.sort((a, b) => a - b);
  const right = (title: string) => ({ title, align: 'right' as const });
  const columns = [
    right('spoke'),
    ...torques.map((nm) => right(nm === 0 ? 'Hz free' : `Hz under ${plain(nm, 0)} N m`)),
    right('tension N (free)'),
  ];
  const rows = spokes.map((spoke) => {
    const own = all.filter((pluck) => pluck.used && pluck.spoke === spoke);
    const at = (nm: number): Pluck | undefined => own.find((one) => one.brakeTorqueNm === nm);
    return [
      String(spoke),
      ...torques.map((nm) => {
        const pluck = at(nm);
        return pluck ? plain(pluck.hz, pitchDigits(pluck.ci95)) : '-';
      }),
      tension(at(0)),
    ];
  });
  const out = all.filter(({ used }) => !used);
  const left = out.map(
    ({ file, atS, reason }) => `Left out: ${file} at ${plain(atS, 1)} s. ${reason ?? ''}`,
  );
  const table = rows.length === 0 ? [] : [textTable(columns, rows)];
  return `Plucks\n${[...table, ...left.map((text) => fold(text, '  '))].join('\n')}`;
}

function tension(pluck: Pluck | undefined): string {
  if (!pluck || pluck.tensionN === null) return '-';
  if (pluck.tensionCi95 === null) return plain(pluck.tensionN, 0);
  const digits = intervalDigits(pluck.tensionCi95);
  const [low, high] = pluck.tensionCi95;
  return `${plain(pluck.tensionN, digits)} (${plain(low, digits)} to ${plain(high, digits)})`;
}

function suggestions({ suggestions: all }: BrakeNoiseFinding): string {
  const texts = all.map(({ change, expect }) => `${change} Expect: ${expect}`);
  return notes('To try, one at a time', [...new Set(texts)]);
}

function lasting(s: number): string {
  if (Math.abs(s) < 60) return `${plain(s, Math.abs(s) < 10 ? 1 : 0)} s`;
  const whole = Math.round(Math.abs(s));
  const two = (n: number): string => String(n).padStart(2, '0');
  const h = Math.floor(whole / 3600);
  const rest = `${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
  return `${s < 0 ? '−' : ''}${h}:${rest}`;
}

function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}

function notes(title: string, texts: string[]): string {
  return texts.length === 0 ? '' : `${title}\n${texts.map((text) => fold(text, '  ')).join('\n')}`;
}

function foot({ method, inputs }: BrakeNoiseFinding): string {
  const files = inputs.map(({ file, sha256 }) => `${file} ${sha256.slice(0, 12)}`);
  return fold(`Method ${method}. Inputs (start of SHA-256): ${files.join(', ')}.`, '');
}
