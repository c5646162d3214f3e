import { median } from './coverage-statistics.ts';
import type { NoiseScore } from './noise-score.ts';
import { calibration, percent, shareText } from './noise-score.ts';

const unique = <T>(all: T[]): T[] => [...new Set(all)];

/** Prints what was measured, as tables for the docs. */
export function printNoise(scores: NoiseScore[], listWrong: boolean): void {
  const causes = scores.filter(({ job }) => job.table === 'causes');
  if (causes.length > 0) {
    printCauses(causes);
    printCalibration(causes);
    printConfusion(causes.filter(({ job }) => job.brought === causes[0].job.brought));
    if (listWrong) printWrong(causes);
  }
  const without = scores.filter(({ job }) => job.table === 'no tone');
  if (without.length > 0) printWithout(without);
}

function printCauses(scores: NoiseScore[]): void {
  console.log(
    'Rides with a tone. In brackets the 95 % interval of a share (Wilson). Odds of the truth: mean over rides.\n',
  );
  console.log(
    '| brought | rides | tone heard | right cause first | right, of those heard | odds of the truth | false tones in ten minutes | s a recording |',
  );
  console.log('|---|---|---|---|---|---|---|---|');
  for (const brought of unique(scores.map(({ job }) => job.brought))) {
    const own = scores.filter(({ job }) => job.brought === brought);
    const heard = own.filter(({ toneHeard }) => toneHeard);
    const odds = own.reduce((sum, { oddsOfTruth }) => sum + oddsOfTruth, 0) / own.length;
    const minutes = own.reduce((sum, { job }) => sum + job.durationS / 60, 0);
    const extra = own.reduce((sum, { falseTones }) => sum + falseTones.length, 0);
    console.log(
      `| ${brought} | ${own.length} | ${percent(heard.length / own.length)} | ${shareText(own.map(({ right }) => right))} ` +
        `| ${shareText(heard.map(({ right }) => right))} | ${odds.toFixed(2)} | ${((10 * extra) / minutes).toFixed(2)} ` +
        `| ${median(own.map(({ seconds }) => seconds)).toFixed(2)} |`,
    );
  }
  console.log('');
}

function printCalibration(scores: NoiseScore[]): void {
  const calls = scores.flatMap(({ first, right }) => (first ? [{ odds: first.odds, right }] : []));
  console.log('Odds of the cause named first, and how often it is right.\n');
  console.log('| called | rides | mean odds | right |');
  console.log('|---|---|---|---|');
  for (const { low, high, count, meanOdds, text } of calibration(calls)) {
    if (count === 0) continue;
    console.log(
      `| ${percent(low)} to ${percent(high)} | ${count} | ${percent(meanOdds)} | ${text} |`,
    );
  }
  console.log('');
}

function printConfusion(scores: NoiseScore[]): void {
  console.log(`By true cause (${scores[0].job.brought}): what was named first.\n`);
  console.log('| true cause | rides | tone heard | right | named instead |');
  console.log('|---|---|---|---|---|');
  for (const cause of unique(scores.map((one) => one.cause)).sort()) {
    const own = scores.filter((one) => one.cause === cause);
    const wrong = own
      .filter(({ right }) => !right)
      .map(({ first }) => first?.id ?? 'nothing heard');
    const named = unique(wrong)
      .map((id) => `${id} ${wrong.filter((one) => one === id).length}`)
      .join(', ');
    const heard = own.filter(({ toneHeard }) => toneHeard).length;
    const right = own.filter((one) => one.right).length;
    console.log(`| ${cause} | ${own.length} | ${heard} | ${right} | ${named || '-'} |`);
  }
  console.log('');
}

function printWrong(scores: NoiseScore[]): void {
  for (const { job, cause, first, oddsOfTruth, toneHeard } of scores.filter(
    ({ right }) => !right,
  )) {
    console.log(
      `seed ${job.seed}, ${job.brought}: ${cause} (${oddsOfTruth.toFixed(2)}), named ` +
        `${first ? `${first.id} (${first.odds.toFixed(2)})` : 'nothing'}${toneHeard ? '' : ', its tone not heard'}`,
    );
  }
  console.log('');
}

function printWithout(scores: NoiseScore[]): void {
  const minutes = scores.reduce((sum, { job }) => sum + job.durationS / 60, 0);
  const tones = scores.flatMap(({ falseTones }) => falseTones);
  const rate = (of: NoiseScore['falseTones']): string =>
    `${of.length} (${((10 * of.length) / minutes).toFixed(2)} in ten minutes)`;
  console.log(`${minutes.toFixed(0)} minutes without any tone, with cars and voices.\n`);
  console.log(
    '| false tones | while a voice calls | while a car passes | otherwise | on the freehub’s ticks |',
  );
  console.log('|---|---|---|---|---|');
  const freehub = scores.reduce((sum, one) => sum + one.freehubTones, 0);
  const during = (what: string) => rate(tones.filter((tone) => tone.during === what));
  console.log(
    `| ${rate(tones)} | ${during('voice')} | ${during('car')} | ${during('neither')} | ${freehub} |`,
  );
  console.log('');
}

/** The best that anyone could do on such rides. */
export function printCeiling(rides: { cause: string; right: boolean }[]): void {
  const share = (of: typeof rides): string => shareText(of.map(({ right }) => right));
  console.log(
    `At best: ${share(rides)} right first, by someone who hears the tone perfectly, knows every spoke's true pitch, ` +
      `the torque within its error, and the spreads by which the rides were drawn.\n`,
  );
  console.log('| true cause | at best |');
  console.log('|---|---|');
  for (const cause of unique(rides.map((one) => one.cause)).sort()) {
    console.log(`| ${cause} | ${share(rides.filter((one) => one.cause === cause))} |`);
  }
  console.log('');
}
