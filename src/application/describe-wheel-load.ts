/** A wheel under one load, and what its nipples do, in words and columns. */
import type { NippleInfluence, WheelFinding, WheelUnderLoad } from './contract.ts';
import { fold, textTable } from './text-table.ts';
import { digits, right, signed } from './wheel-numbers.ts';

/** Beyond it, true lengths of spokes say otherwise by up to a seventh (docs/methods/wheel.md). */
const farMm = 5;

/** What stands on the wheel, where the rim goes, and each spoke's tension. */
export function underLoadInWords(finding: WheelFinding, under: WheelUnderLoad): string {
  const { load, atLoad, slackSpokes, firstSlackShare } = under;
  const parts = [
    load.sideN === 0 ? '' : `${Math.abs(load.sideN)} N to the ${load.sideN > 0 ? 'left' : 'right'}`,
    load.inwardN === 0
      ? ''
      : `${Math.abs(load.inwardN)} N ${load.inwardN > 0 ? 'inwards' : 'outwards'}`,
    load.brakeNm === 0
      ? ''
      : `${Math.abs(load.brakeNm)} N m of ${load.brakeNm > 0 ? 'brake' : 'drive'} torque`,
  ].filter((part) => part !== '');
  const place = Number.isInteger(load.atSpoke)
    ? `at spoke ${load.atSpoke}`
    : `midway after spoke ${Math.floor(load.atSpoke)}`;
  const ways: [number, string, string][] = [
    [atLoad.leftMm, 'to the left', 'to the right'],
    [-atLoad.outwardMm, 'inwards', 'outwards'],
    [atLoad.forwardMm, 'forwards', 'backwards'],
  ];
  const went = ways.map(
    ([mm, ahead, back]) => `${Math.abs(mm).toFixed(3)} mm ${mm < 0 ? back : ahead}`,
  );
  const moved = `There the rim goes ${went[0]}, ${went[1]} and ${went[2]}, slop of bearings not counted.`;
  const far =
    Math.abs(atLoad.leftMm) > farMm
      ? ` Small displacements are taken: this far out (more than ${farMm} mm) the numbers are a guide, no more.`
      : '';
  const share = (value: number): string => String(Number(value.toPrecision(3)));
  const slack =
    slackSpokes.length > 0
      ? `Slack: ${slackSpokes.length === 1 ? 'spoke' : 'spokes'} ${slackSpokes.join(', ')}.`
      : firstSlackShare === null
        ? 'No spoke loses tension.'
        : `No spoke goes slack; the first would at ${share(firstSlackShare)} times this load.`;
  const rows = under.spokes.map(({ spoke, tensionN, changeN, slack: is }, i) => {
    const { side, role } = finding.spokes[i];
    const text = is ? 'slack' : changeN > 0.05 ? 'gains' : changeN < -0.05 ? 'loses' : '';
    return [String(spoke), side, role, tensionN.toFixed(0), signed(changeN, 1), text];
  });
  const columns = [
    right('spoke'),
    { title: 'side' },
    { title: 'role' },
    right('tension N'),
    right('change N'),
    { title: '' },
  ];
  return `Under ${parts.join(', ') || 'no load'} ${place}\n${fold(`${moved} ${slack}${far}`)}\n${textTable(columns, rows)}`;
}

/** The nipples of each kind of spoke: what one turn does to itself, its neighbours and the rim. */
export function influenceInWords(finding: WheelFinding, influence: NippleInfluence): string {
  const { spokes } = finding;
  const kinds = new Map(
    [...spokes].reverse().map((one, i) => [`${one.side} ${one.role}`, spokes.length - 1 - i]),
  );
  const rows = [...kinds.values()]
    .sort((a, b) => a - b)
    .map((turned) => {
      const { spoke, side, role } = spokes[turned];
      const at = (rows_: number[][], answers: number): number =>
        rows_[(answers + spokes.length) % spokes.length][turned];
      const next = [-1, 1].map((step) => signed(at(influence.tensionPerTurnN, turned + step), 0));
      const ofSide = spokes
        .map((one, i) => (one.side === side && i !== turned ? at(influence.tensionPerTurnN, i) : 0))
        .reduce((most, value) => (Math.abs(value) > Math.abs(most) ? value : most), 0);
      return [
        String(spoke),
        side,
        role,
        signed(at(influence.tensionPerTurnN, turned), 0),
        next.join(', '),
        signed(ofSide, 0),
        signed(at(influence.leftPerTurnMm, turned), 3),
        signed(-at(influence.outwardPerTurnMm, turned), 3),
      ];
    });
  const columns = [
    right('nipple'),
    { title: 'side' },
    { title: 'role' },
    right('its spoke N'),
    right('both neighbours N'),
    right('most on its side N'),
    right('rim left mm'),
    right('rim inwards mm'),
  ];
  const note = `One tightening turn draws a spoke in by ${digits(influence.threadPitchMm)} mm (56 threads an inch, common practice). One nipple of each kind stands here; --json has all of them on all spokes. Never exceed the maker’s maximum tension.`;
  return `One turn of a nipple\n${textTable(columns, rows)}\n${fold(note)}`;
}
