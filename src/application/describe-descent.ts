/** A descent in words and columns. */
import { describeProblem, type Interval } from '../core/units/index.ts';
import type { DescentBrakeFinding, DescentFinding, DescentVariant } from './contract.ts';
import { fold, textTable } from './text-table.ts';

const right = (name: string) => ({ title: name, align: 'right' as const });

/** A value to the place of the second digit of half its interval, hundreds included (GUM 7.2.6). */
export function toInterval(value: number, [low, high]: Interval): string {
  const half = (high - low) / 2;
  if (!(half > 0)) return value.toFixed(0);
  const place = 10 ** (Math.floor(Math.log10(half)) - 1);
  return place >= 1 ? String(Math.round(value / place) * place) : value.toFixed(0);
}

const within = (value: number, interval: Interval): string => {
  const [low, high] = interval.map((end) => toInterval(end, interval));
  return `${toInterval(value, interval)} (${low} to ${high})`;
};

const words = {
  within: 'WITHIN: by their heat, the brakes stay below every limit',
  marginal: 'MARGINAL: some of what is likely lies above a limit',
  beyond: 'BEYOND: a limit is more likely passed than not',
};

/** One sentence: the verdict and the hotter brake. */
export function descentHeadline({ verdict, front, rear }: DescentFinding): string {
  const [name, hot] = front.peakC >= rear.peakC ? ['Front', front] : ['Rear', rear];
  return `${words[verdict]}. ${name} rotor: highest temperature ${within(hot.peakC, hot.peakCi95)} °C (95 %).`;
}

/** The whole finding as text. */
export function describeDescent(finding: DescentFinding): string {
  const blocks = [
    title(finding),
    fold(descentHeadline(finding), ''),
    road(finding),
    brakes(finding),
    limits(finding),
    dragAndPulse(finding),
    remedies(finding),
    after(finding),
    convection(finding),
    energy(finding),
    notes('Warnings', finding.warnings.map(describeProblem)),
    notes('Cautions', finding.cautions),
    foot(finding),
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}

function title({ title: name, invented }: DescentFinding): string {
  const lines = [name ?? '', invented ? 'INVENTED DATA; it says nothing about any real road.' : ''];
  return lines.filter((line) => line !== '').join('\n');
}

function road({ road: way }: DescentFinding): string {
  const { lengthM, lostM, fallUncertainty, durationS, meanKmh, fastestKmh, plan } = way;
  const doubt =
    fallUncertainty > 0
      ? ` ± ${(fallUncertainty * lostM).toFixed(0)} m (standard uncertainty)`
      : '';
  const gone =
    plan === 'as recorded' ? 'Ridden as recorded' : plan[0].toUpperCase() + plan.slice(1);
  return fold(
    `${gone}: ${Number(lengthM.toPrecision(4))} m of road lose ${lostM.toFixed(0)} m of height${doubt} in ${clock(durationS)}; ${meanKmh.toFixed(1)} km/h on the mean, ${fastestKmh.toFixed(0)} km/h at most.`,
    '',
  );
}

function brakes({ front, rear }: DescentFinding): string {
  const row = (name: string, of: (brake: typeof front) => string): string[] => [
    name,
    of(front),
    of(rear),
  ];
  const rows = [
    row('rotor', (one) => `${one.rotorMm} mm ${one.build}, ${one.pads} pads`),
    row('highest temperature of the track, °C', (one) => within(one.peakC, one.peakCi95)),
    ...Object.keys(front.secondsAbove).map((limit) =>
      row(`time above ${limit} °C, s`, (one) =>
        within(one.secondsAbove[limit], one.secondsAboveCi95[limit]),
      ),
    ),
    row('first limit of the track met after, s (as early as)', reached),
    row('pads with their backing, °C', (one) => within(one.padsPeakC, one.padsPeakCi95)),
    row('caliper and fluid, °C', (one) => within(one.caliperPeakC, one.caliperPeakCi95)),
    row('rubbed surface, for a moment, K more', (one) => one.surfaceExtraK.toFixed(0)),
    row('braking power on the mean, W', (one) => one.meanPowerW.toFixed(0)),
    row('greatest braking power, W', (one) => one.greatestPowerW.toFixed(0)),
  ];
  return `Brakes (best guess and 95 % interval)\n${textTable([{ title: '' }, right('front'), right('rear')], rows)}`;
}

function reached({ limitReachedS, limitReachedEarlyS }: DescentBrakeFinding): string {
  if (limitReachedEarlyS === null) return 'not met';
  const early = limitReachedEarlyS.toFixed(0);
  return limitReachedS === null
    ? `probably not (${early})`
    : `${limitReachedS.toFixed(0)} (${early})`;
}

function limits({ limits: all }: DescentFinding): string {
  const rows = all.map((one) => [
    one.brake,
    one.what,
    String(one.limitC),
    within(one.peakC, one.peakCi95),
    one.verdict,
    one.source,
  ]);
  const columns = [
    { title: 'brake' },
    { title: 'what happens' },
    right('at °C'),
    right('reached °C'),
    { title: 'verdict' },
    { title: 'limit from' },
  ];
  const how =
    'Within: the whole interval lies below. Beyond: more likely passed than not. Marginal: between; boiling fluid alone makes marginal, because the caliper is known least.';
  return `Limits\n${textTable(columns, rows)}\n${fold(how)}`;
}

const variantRow = (one: DescentVariant): string[] => [
  one.change,
  within(one.frontPeakC, one.frontPeakCi95),
  within(one.rearPeakC, one.rearPeakCi95),
  one.verdict,
];

const variantColumns = [
  { title: 'change' },
  right('front °C'),
  right('rear °C'),
  { title: 'verdict' },
];

function dragAndPulse({ dragAndPulse: pair }: DescentFinding): string {
  if (pair === null) return '';
  const note = `In these pulses the ride reaches ${pair.pulse.fastestKmh.toFixed(0)} km/h and is braked with up to ${pair.pulse.hardestShare.toFixed(2)} times gravity. The height to be braked away is the same either way.`;
  return `Dragging and pulsing at the same mean speed\n${textTable(variantColumns, [pair.drag, pair.pulse].map(variantRow))}\n${fold(note)}`;
}

function remedies({ remedies: all, bringsBack, verdict }: DescentFinding): string {
  if (verdict === 'within') return '';
  const note = bringsBack
    ? 'Split: how much of the braking a wheel can take before it slides is not worked out here.'
    : 'None of these brings it back within by the whole interval. A measured cool-down may narrow it; otherwise walk, or take another way.';
  return `What would bring it back within\n${textTable(variantColumns, all.map(variantRow))}\n${fold(note)}`;
}

function after({ front, rear, inARow }: DescentFinding): string {
  const rows = front.coolDown.map((one, k) => [
    `below ${one.belowC} °C, standing`,
    within(one.standingS, one.standingCi95),
    within(rear.coolDown[k].standingS, rear.coolDown[k].standingCi95),
  ]);
  const rolling = front.coolDown.map((one, k) => [
    `below ${one.belowC} °C, rolling at 25 km/h, brakes off`,
    within(one.rollingS, one.rollingCi95),
    within(rear.coolDown[k].rollingS, rear.coolDown[k].rollingCi95),
  ]);
  const pause = `${clock(inARow.betweenS)} between them at ${inARow.betweenKmh.toFixed(0)} km/h`;
  const many = inARow.noLimitFound
    ? `No limit is met by riding it again: ten in a row stay within, with ${pause}.`
    : inARow.within === 0
      ? 'Descents like this in a row that stay within: none.'
      : `Descents like this in a row that stay within: ${inARow.within}, with ${pause}.`;
  return `Afterwards, s\n${textTable([{ title: 'track' }, right('front'), right('rear')], [...rows, ...rolling])}\n${fold(many)}`;
}

function convection({ convection: band, coolDownFit }: DescentFinding): string {
  const published = Object.entries(band.published)
    .map(([name, value]) => `${name} ${value.toFixed(0)}`)
    .join(', ');
  const fit =
    coolDownFit && coolDownFit.convectionWPerM2K > 0
      ? `The cool-down of the ${coolDownFit.brake} brake says ${within(coolDownFit.convectionWPerM2K, coolDownFit.convectionCi95)} W/(m² K) at its speed, where the published formulas leave ${coolDownFit.publishedCi95.map((end) => end.toFixed(0)).join(' to ')}; the readings lie ${coolDownFit.scatterK.toFixed(1)} K from the fitted curve.`
      : 'A measured cool-down in the sheet ("cooldown") narrows this, and all intervals with it.';
  return `Convection\n${fold(`Air takes ${within(band.centre, band.ci95)} W/(m² K) at the mean speed. Published formulas for this rotor: ${published}. None was made for it.`)}\n${fold(fit)}`;
}

function energy({ energy: all }: DescentFinding): string {
  const kJ = (value: number): string => (Math.round(value / 100) / 10).toFixed(1);
  const given = `height ${kJ(all.heightJ)}, motion ${kJ(all.motionJ)}, pedals ${kJ(all.pedalledJ)}`;
  const taken = `air ${kJ(all.airJ)}, rolling ${kJ(all.rollingJ)}, brakes ${kJ(all.brakedJ)}`;
  const heat = `given to the air ${kJ(all.convectedJ)}, radiated ${kJ(all.radiatedJ)}, led to the hubs ${kJ(all.toHubsJ)}, still in the brakes ${kJ(all.storedJ)}`;
  const closed = `The road closes to ${percent(all.roadClosurePercent)} %, the heat to ${percent(all.heatClosurePercent)} %.`;
  return `Energy, kJ\n${fold(`Given: ${given}. Taken: ${taken}. Of the brakes’ heat: ${heat}. ${closed}`)}`;
}

const percent = (value: number): string => Math.abs(value).toFixed(3);

const clock = (seconds: number): string =>
  seconds < 600
    ? `${seconds.toFixed(0)} s`
    : `${Math.floor(seconds / 3600) > 0 ? `${Math.floor(seconds / 3600)} h ` : ''}${Math.round((seconds % 3600) / 60)} min`;

function notes(name: string, texts: readonly string[]): string {
  return texts.length === 0 ? '' : `${name}\n${texts.map((text) => fold(text)).join('\n')}`;
}

function foot({ method, inputs }: DescentFinding): string {
  const files = inputs.map(({ file, sha256 }) => `${file} ${sha256.slice(0, 12)}`);
  return fold(`Method ${method}. Inputs (start of SHA-256): ${files.join(', ')}.`, '');
}
