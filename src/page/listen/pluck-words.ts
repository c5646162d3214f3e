/** What plucks say, in words. */
import type { PluckFinding, PluckSoundView } from '../../application/contract.ts';
import { fixed, thin } from '../../figures/index.ts';
import type { PlannedSpoke } from './pluck-plan.ts';
import { begun } from './words.ts';

/** Standard acceleration of gravity (ISO 80000-3), m/s². */
const gravityMps2 = 9.80665;

/** Torque of a weight on a lever that stands so many degrees off level, N m. */
export const leverTorqueNm = (massKg: number, lengthM: number, offLevelDeg = 0): number =>
  massKg * gravityMps2 * lengthM * Math.cos((offLevelDeg * Math.PI) / 180);

/** `spoke 5, right`. */
export const spokeWords = ({ spoke, side }: Pick<PlannedSpoke, 'spoke' | 'side'>): string =>
  side === null ? `spoke ${spoke}` : `spoke ${spoke}, ${side}`;

/** How long it sounds, in a word: Q of a free steel spoke is some hundreds (from memory). */
export function rings(q: number | null): string {
  if (q === null) return 'rings too long to measure';
  if (q >= 150) return 'rings long';
  return q >= 60 ? 'rings' : 'rings short';
}

export const torqueWords = (torqueNm: number): string =>
  torqueNm === 0 ? 'free' : `under ${fixed(torqueNm, 1)}${thin}N${thin}m`;

/** What to look out for with a weight on a lever; stands wherever it is asked for. */
export const leverCautions: readonly string[] = [
  'Secure the bicycle so that it can neither roll nor tip, and lock the brake with a strap on its lever.',
  'Hang the weight gently, low above the floor. Nobody, and no hand or foot, under or beside it: brake or strap may let go.',
  'Stay far below what the makers of brake, rotor, hub, wheel and frame allow; if in doubt ask a qualified mechanic.',
];

export const torqueOf = ({ options }: PluckSoundView): number =>
  options.lever
    ? leverTorqueNm(options.lever.massKg, options.lever.lengthM)
    : options.brakeTorqueNm;

/** Which spokes sound lower under torque than free, in a sentence; null where too few can be compared. */
export function whichLose(
  pitches: readonly { spoke: number; hz: number }[],
  torqueNm: number,
  beside: { torqueNm: number; hz: ReadonlyMap<number, number> },
): string | null {
  const sign = Math.abs(torqueNm) > Math.abs(beside.torqueNm) ? 1 : -1;
  const changes = pitches.flatMap(({ spoke, hz }) => {
    const other = beside.hz.get(spoke);
    if (other === undefined) return [];
    const [more, less] = sign > 0 ? [hz, other] : [other, hz];
    return [{ spoke, share: more / less - 1 }];
  });
  if (changes.length < 2) return null;
  const lower = changes.filter(({ share }) => share < 0).sort((a, b) => a.share - b.share);
  const most = sign > 0 ? torqueNm : beside.torqueNm;
  const head = `${begun(torqueWords(most))} ${lower.length} of ${changes.length} spokes sound lower and so lose tension`;
  if (lower.length === 0) return `${head}.`;
  const named = lower
    .slice(0, 3)
    .map(({ spoke, share }) => `${spoke} (${fixed(-100 * share, 1)}${thin}%)`);
  return `${head}; most of all ${named.join(', ')}.`;
}

/** One sentence of what these plucks give, and sentences of what they do not yet. */
export function whatItGives(
  finding: PluckFinding,
  { wheel }: PluckSoundView['options'],
  beside: { torqueNm: number } | null,
): { gives: string; missing: string[] } {
  const used = finding.heard.filter((one) => one.used);
  const spokes = new Set(used.map((one) => one.spoke)).size;
  const free = finding.brakeTorqueNm === 0;
  const missing: string[] = [];
  const tensions = used.some((one) => one.tensionN !== null);
  const gives =
    spokes === 0
      ? 'No pitch can be laid on a spoke yet.'
      : `The pitch of ${spokes} ${spokes === 1 ? 'spoke' : 'spokes'} ${torqueWords(finding.brakeTorqueNm)}${tensions ? ', and from it the tension' : ''}.`;
  if (beside === null && spokes > 0) {
    missing.push(
      free
        ? 'Plucks under torque would tell which spokes lose tension under braking.'
        : 'Plucks of the free wheel would tell how much each spoke changes under this torque.',
    );
  }
  if (wheel === null) {
    missing.push('A wheel sheet would give sides and tensions, and pitches at other torques.');
  }
  return { gives, missing };
}
