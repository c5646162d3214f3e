/** A race in words and columns. */
import { describeProblem, type Interval } from '../core/units/index.ts';
import type { RaceFinding, RacePlan, RaceSetup } from './contract.ts';
import { intervalDigits, plain, signed } from './digits.ts';
import { fold, textTable } from './text-table.ts';

const right = (title: string) => ({ title, align: 'right' as const });

/** `58:03.4`, `1:02:11`: no more digits than `digits` decimals of a second. */
export function clock(seconds: number, digits = 0): string {
  const unit = 10 ** digits;
  const whole = Math.round(seconds * unit) / unit;
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor((whole - 3600 * hours) / 60);
  const rest = (whole - 3600 * hours - 60 * minutes).toFixed(digits);
  const two = (text: string): string => (text.split('.')[0].length < 2 ? `0${text}` : text);
  return hours > 0 ? `${hours}:${two(String(minutes))}:${two(rest)}` : `${minutes}:${two(rest)}`;
}

/** One sentence: the reference's time and what the best of the others makes of it. */
export function raceHeadline(finding: RaceFinding): string {
  const reference = finding.setups.find(({ id }) => id === finding.reference)!;
  const time = `${clock(reference.timeS)} on ${reference.name}`;
  const apart = finding.differences.filter(({ verdict }) => verdict === 'faster');
  if (finding.differences.length === 0) return `${time}.`;
  if (apart.length === 0) {
    const slower = finding.differences.filter(({ verdict }) => verdict === 'slower').length;
    return `${time}; none of the others is faster beyond its interval${slower > 0 ? `, ${slower} ${slower === 1 ? 'is' : 'are'} slower` : ''}.`;
  }
  const best = apart.reduce((a, b) => (b.deltaS < a.deltaS ? b : a));
  const name = finding.setups.find(({ id }) => id === best.setup)!.name;
  return `${time}; ${name} is ${plain(-best.deltaS, secondsDigits(best.ci95))} s faster (${within(best.ci95)}).`;
}

/** The whole finding as text. */
export function describeRace(finding: RaceFinding): string {
  const blocks = [
    finding.invented
      ? `${finding.name}\nINVENTED DATA; it says nothing about any real ride.`
      : finding.name,
    course(finding),
    times(finding),
    differences(finding),
    energy(finding),
    sensitivities(finding),
    finding.plan ? plan(finding, finding.plan) : '',
    notes('Warnings', finding.warnings.map(describeProblem)),
    notes('Cautions', finding.cautions),
    foot(finding),
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}

/** Tenths at most: a race is not timed finer. */
const secondsDigits = (interval: Interval): number => Math.min(1, intervalDigits(interval));

function within(interval: Interval): string {
  const digits = secondsDigits(interval);
  return `${signed(interval[0], digits)} to ${signed(interval[1], digits)} s`;
}

function course({ course: road }: RaceFinding): string {
  const corners =
    road.corners.length === 0
      ? 'no corners known'
      : `${road.corners.length} corners${road.cornersLimit ? ' that limit the speed' : ', which limit nobody here'}`;
  const doubt = road.gradientStandardUncertaintyPercent;
  const words = `${road.name}: ${(road.lengthM / 1000).toFixed(2)} km, ${road.climbM.toFixed(0)} m up, at most ${road.steepestPercent.toFixed(1)} %; slope ${doubt === 0 ? 'taken as exact' : `± ${doubt.toPrecision(2)} % (standard uncertainty)`}; ${corners}.`;
  return fold(words, '');
}

function times(finding: RaceFinding): string {
  const rows = finding.setups.map((one) => {
    const digits = secondsDigits(one.timeCi95);
    return [
      one.name,
      clock(one.timeS, digits),
      `${clock(one.timeCi95[0], digits)} to ${clock(one.timeCi95[1], digits)}`,
      plain(3.6 * one.meanSpeedMps, 1),
      plain(one.meanPowerW, 0),
      plain(one.weightedPowerW, 0),
      one.cdaM2.toFixed(4),
    ];
  });
  const columns = [
    { title: 'setup' },
    right('time'),
    right('95 % interval'),
    right('km/h'),
    right('mean W'),
    right('weighted W'),
    right('CdA m²'),
  ];
  return `Times\n${textTable(columns, rows)}\n${fold('Weighted: power mean with exponent 4 of the means of 30 s. Intervals: 2.5 % and 97.5 % of rides with the uncertain drawn; what the sheet calls exact is not in them.')}`;
}

function differences(finding: RaceFinding): string {
  if (finding.differences.length === 0) return '';
  const nameOf = (id: string): string => finding.setups.find((one) => one.id === id)!.name;
  const rows = finding.differences.map((one) => {
    const digits = secondsDigits(one.ci95);
    return [
      nameOf(one.setup),
      signed(one.deltaS, digits),
      within(one.ci95),
      one.verdict,
      signed(one.onClimbsS, digits),
      signed(one.onFlatS, digits),
      signed(one.onDescentsS, digits),
    ];
  });
  const columns = [
    { title: `against ${nameOf(finding.reference)}` },
    right('s'),
    right('95 % interval'),
    { title: 'verdict' },
    right('on climbs'),
    right('flat'),
    right('descents'),
  ];
  return `Differences (below 0 is faster)\n${textTable(columns, rows)}\n${fold('Each interval holds for its own difference; what both setups share cancels in it. Climbs and descents: steeper than 2 %.')}`;
}

function energy(finding: RaceFinding): string {
  const kilo = (joules: number): string => plain(joules / 1000, 0);
  const rows = finding.setups.map(({ name, energy: e }) => [
    name,
    kilo(e.pedalledJ),
    kilo(e.aeroJ),
    kilo(e.rollingJ),
    kilo(e.heightJ + e.speedJ),
    kilo(e.drivetrainJ + e.bearingJ),
    kilo(e.brakesJ),
    kilo(e.onFootJ),
    `${e.closurePercent.toFixed(3)} %`,
  ]);
  const columns = [
    { title: 'energy, kJ' },
    ...[
      'pedalled',
      'air',
      'tyres',
      'height, speed',
      'drivetrain, bearings',
      'brakes',
      'on foot',
      'not closed',
    ].map(right),
  ];
  return textTable(columns, rows);
}

function sensitivities({ sensitivities: s }: RaceFinding): string {
  const part = (value: number, unit: string): string =>
    `${signed(value, Math.abs(value) < 10 ? 1 : 0)} s for ${unit}`;
  const parts = [
    part(s.perThousandthM2, '0.001 m² more'),
    part(s.perKg, '1 kg more'),
    part(s.perTenThousandthCrr, '0.0001 more Crr'),
    part(s.perWatt, '1 W more all the way'),
    ...(s.perMpsOfWind === null ? [] : [part(s.perMpsOfWind, '1 m/s more of this wind')]),
  ];
  return fold(
    `What a little costs on a day just like the sheet’s, about: ${parts.join(', ')}.`,
    '',
  );
}

function plan({ reference, setups }: RaceFinding, found: RacePlan): string {
  const held =
    found.holds === 'mean'
      ? `mean power of ${plain(found.heldW, 0)} W`
      : `power mean with exponent 4 of 30 s means of ${plain(found.heldW, 0)} W`;
  const setup: RaceSetup = setups.find(({ id }) => id === reference)!;
  const words = `The least time found on ${setup.name} at the same ${held}, between ${plain(found.leastW, 0)} and ${plain(found.mostW, 0)} W: ${clock(found.timeS)}, ${plain(-found.gainS, secondsDigits(found.gainCi95))} s less than the sheet’s plan (${within([-found.gainCi95[1], -found.gainCi95[0]])} on days as uncertain as the sheet says; mean ${plain(found.meanPowerW, 0)} W, weighted ${plain(found.weightedPowerW, 0)} W).`;
  // Neighbours within 5 W share a row.
  const rows: {
    fromM: number;
    toM: number;
    work: number;
    length: number;
    rise: number;
    w: number;
  }[] = [];
  for (const one of found.stretches) {
    const length = one.toM - one.fromM;
    const last = rows.at(-1);
    if (last && (Math.abs(one.powerW - last.work / last.length) < 5 || rows.length >= 40)) {
      last.toM = one.toM;
      last.work += one.powerW * length;
      last.rise += one.gradientPercent * length;
      last.length += length;
    } else {
      rows.push({
        ...one,
        work: one.powerW * length,
        length,
        rise: one.gradientPercent * length,
        w: one.powerW,
      });
    }
  }
  const table = textTable(
    [right('from km'), right('to km'), right('slope %'), right('W')],
    rows.map((one) => [
      (one.fromM / 1000).toFixed(2),
      (one.toM / 1000).toFixed(2),
      signed(one.rise / one.length, 1),
      plain(one.work / one.length, 0),
    ]),
  );
  return `Plan of power\n${fold(words)}\n${table}`;
}

function notes(title: string, lines: readonly string[]): string {
  return lines.length === 0 ? '' : `${title}\n${lines.map((line) => fold(line)).join('\n')}`;
}

function foot({ method, draws, inputs }: RaceFinding): string {
  return [
    `Method ${method}, ${draws} draws.`,
    ...inputs.map(({ file, sha256 }) => `  ${file} ${sha256.slice(0, 12)}`),
  ].join('\n');
}
