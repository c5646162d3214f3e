/** `lapbench tension`: what is refused, with file, line and remedy. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { gauge, pitchAt, run, sheet, table, tensionAt } from './tension-tables.ts';

const edited = (edit: (cells: string[], row: number) => string[] | null, text = table()): string =>
  text
    .split('\n')
    .flatMap((row, i) => {
      const cells = i === 0 ? row.split(',') : edit(row.split(','), i);
      return cells === null ? [] : [cells.join(',')];
    })
    .join('\n');

const withWheel = ['--wheel', 'wheel.yaml'];
const asGauge = ['--as', 'gauge', '--calibration', 'gauge.csv'];
const asPitch = ['--as', 'pitch', '--wheel', 'wheel.yaml'];
const gaugeTable = table((spoke) => (spoke % 2 ? 19 : 23));

const refused: [what: string, files: Record<string, string>, options: string[], reason: RegExp][] =
  [
    ['an empty file', { 'spokes.csv': '' }, [], /spokes\.csv: The file is empty/],
    [
      'an unknown column',
      { 'spokes.csv': table(tensionAt, { header: 'spoke,side,tension' }) },
      [],
      /spokes\.csv, line 1: There is no column reading; the header has "spoke", "side", "tension"/,
    ],
    [
      'swapped columns',
      { 'spokes.csv': table(tensionAt, { header: 'reading,side,spoke' }) },
      [],
      /columns spoke and reading look swapped.*Exchange the two names/,
    ],
    [
      'kilograms-force entered as newtons',
      { 'spokes.csv': table((spoke) => tensionAt(spoke) / 9.80665) },
      [],
      /typical tension of 112\.\d N: they look like kilograms-force \(110\d N\).*--unit kgf/,
    ],
    [
      'pounds-force entered as newtons',
      { 'spokes.csv': table((spoke) => tensionAt(spoke) / 4.4482) },
      [],
      /look like pounds-force \(1\d\d\d N\).*--unit lbf.*--unit N/,
    ],
    [
      'kilonewtons',
      { 'spokes.csv': table((spoke) => tensionAt(spoke) / 1000) },
      [],
      /look like kilonewtons/,
    ],
    [
      'numbers of a gauge read as newtons',
      { 'spokes.csv': gaugeTable },
      [],
      /typical tension of 23\.\d+ N, which holds no wheel.*--as gauge and --calibration/,
    ],
    [
      'readings of nothing',
      { 'spokes.csv': table(() => 0) },
      [],
      /spokes of the left side have no tension/,
    ],
    [
      'a gauge’s table that nothing would use',
      { 'spokes.csv': table() },
      ['--calibration', 'gauge.csv'],
      /these are read as tension\. Say --as gauge/,
    ],
    [
      'a kind of spoke without a table',
      { 'spokes.csv': table() },
      ['--spoke-type', 'round'],
      /Say --as gauge, or leave --spoke-type out/,
    ],
    [
      'newtons taken for kilograms-force',
      { 'spokes.csv': table() },
      ['--unit', 'kgf'],
      /\(from kgf\), which no spoke bears/,
    ],
    [
      'a maximum in kilograms-force',
      { 'spokes.csv': table() },
      ['--maximum', '120'],
      /maximum of 120 N lies far below.*kilograms-force \(1177 N\)/,
    ],
    [
      'a spoke read twice with contradicting readings, its neighbour missing',
      {
        'spokes.csv': edited(([spoke, ...rest], row) => [
          spoke === '12' && row > 33 ? '10' : spoke,
          ...rest,
        ])
          .split('\n')
          .filter((row) => !row.startsWith('12,'))
          .join('\n'),
      },
      [],
      /spokes\.csv, line \d+: Spoke 10 is read as 1400 and 1405.6 and 1104.4, which differ by 301 N; spoke 12 is missing/,
    ],
    [
      'a side that contradicts the lacing',
      {
        'spokes.csv': edited(([spoke, was, value]) => [
          spoke,
          spoke === '9' ? 'right' : was,
          value,
        ]),
      },
      withWheel,
      /spokes\.csv, line 10: Spoke 9 stands on the right; by the lacing of the wheel sheet it is on the left/,
    ],
    [
      'all sides the other way round',
      {
        'spokes.csv': edited(([spoke, was, value]) => [
          spoke,
          was === 'left' ? 'right' : 'left',
          value,
        ]),
      },
      withWheel,
      /32 of 32 spokes stand on the other side.*Begin to count at a left spoke/,
    ],
    [
      'more spokes than the wheel has',
      {
        'spokes.csv': table(),
        'wheel.yaml': sheet.replaceAll('count: 16', 'count: 14'),
      },
      withWheel,
      /spokes\.csv, line \d+: The readings go up to spoke 32, the wheel sheet has 28 spokes \(14 left, 14 right\)/,
    ],
    [
      'a gauge without its table',
      { 'spokes.csv': gaugeTable },
      ['--as', 'gauge'],
      /without its table there is no tension/,
    ],
    [
      'a gauge number above its table',
      {
        'spokes.csv': edited(
          ([spoke, was, value], row) => [spoke, was, row === 6 ? '29.5' : value],
          gaugeTable,
        ),
      },
      asGauge,
      /spokes\.csv, line 7: Spoke 6 reads 29\.5, outside the gauge’s table, which goes from 15 to 27 \(310 to 1530 N\): it has more than 1530 N/,
    ],
    [
      'a gauge number below its table',
      {
        'spokes.csv': edited(
          ([spoke, was, value], row) => [spoke, was, row === 6 ? '9' : value],
          gaugeTable,
        ),
      },
      asGauge,
      /line 7: Spoke 6 reads 9.*less than 310 N/,
    ],
    [
      'a table that turns back',
      { 'spokes.csv': gaugeTable, 'gauge.csv': gauge.replace('23,920', '23,520') },
      asGauge,
      /gauge\.csv, line 4: From reading 19 to 23 the tension goes from 560 N to 520 N, where the rest of the table rises/,
    ],
    [
      'a table with a reading twice',
      { 'spokes.csv': gaugeTable, 'gauge.csv': gauge.replace('23,920', '19,920') },
      asGauge,
      /gauge\.csv, line 4: The reading 19 stands twice, at 560 N and at 920 N/,
    ],
    [
      'a table in kilograms-force',
      { 'spokes.csv': gaugeTable, 'gauge.csv': 'reading,tension_n\n15,31\n19,57\n23,94\n27,156\n' },
      asGauge,
      /gauge\.csv.*: .*look like kilograms-force/,
    ],
    [
      'a pitch an octave off',
      {
        'spokes.csv': edited(
          ([spoke, was, value], row) => [spoke, was, row === 8 ? '808' : value],
          table(pitchAt),
        ),
      },
      asPitch,
      /spokes\.csv, line 9: Spoke 8 at 808 Hz is about twice the right side’s 396\.\d Hz: it looks an octave off/,
    ],
    [
      'all pitches an octave too high',
      { 'spokes.csv': table((spoke) => 2.06 * pitchAt(spoke)) },
      asPitch,
      /look an octave too high/,
    ],
    [
      'pitch without a wheel sheet',
      { 'spokes.csv': table(pitchAt) },
      ['--as', 'pitch'],
      /stand in the wheel sheet/,
    ],
    [
      'a known tension that the pitch cannot have',
      { 'spokes.csv': table(pitchAt) },
      [...asPitch, '--known', '2:700'],
      /spoke 2 has from 10\d\d N \(clamped ends\) to 1\d\d\d N \(pinned\), not 700 N/,
    ],
    [
      'a known tension in kilograms-force',
      { 'spokes.csv': table(pitchAt) },
      [...asPitch, '--known', '2:115'],
      /not 115 N; 115 kgf would fit/,
    ],
    [
      'a known spoke that was not read',
      { 'spokes.csv': edited((cells) => (cells[0] === '2' ? null : cells), table(pitchAt)) },
      [...asPitch, '--known', '2:1100'],
      /tension of spoke 2 is known, but its pitch was not read/,
    ],
    [
      'a known spoke for readings of tension',
      { 'spokes.csv': table() },
      ['--known', '2:1100'],
      /calibrates pitches/,
    ],
    ['a kind that is none', { 'spokes.csv': table() }, ['--as', 'colour'], /--as is "colour"/],
    ['a unit that is none', { 'spokes.csv': table() }, ['--unit', 'stone'], /--unit is "stone"/],
    [
      'a known spoke without its tension',
      { 'spokes.csv': table() },
      [...asPitch, '--known', '3'],
      /--known is "3"/,
    ],
    [
      'a tolerance that is none',
      { 'spokes.csv': table() },
      ['--tolerance', '0'],
      /--tolerance is "0"/,
    ],
    [
      'a sheet with a slip of unit',
      { 'spokes.csv': table(), 'wheel.yaml': sheet.replace('0.300', '300') },
      withWheel,
      /wheel\.yaml, line 2.*millimetres/,
    ],
    [
      'a wheel whose crosses run through the hub',
      { 'spokes.csv': table(), 'wheel.yaml': sheet.replaceAll('cross: 2', 'cross: 6') },
      withWheel,
      /wheel\.yaml, line 5.*through the hub/,
    ],
    [
      'two spokes alone',
      { 'spokes.csv': 'spoke,side,reading\n1,left,600\n2,right,1100\n' },
      [],
      /Fewer than three spokes/,
    ],
  ];

for (const [what, files, options, reason] of refused) {
  test(`refused with its reason: ${what}`, async (t) => {
    const said = await run(t, files, ...options, '--json');
    assert.equal(said.code, 2, said.out);
    assert.equal(said.out, '');
    assert.match(said.err, reason);
    assert.doesNotMatch(said.err, /at .*\.ts:\d/, 'no stack for a person’s mistake');
  });
}
