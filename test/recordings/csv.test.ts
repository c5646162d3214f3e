import assert from 'node:assert/strict';
import { describe, test } from 'node:test';
import fc from 'fast-check';
import Papa from 'papaparse';
import { readCell } from '../../src/recordings/csv-cell.ts';
import { readRecording } from '../../src/recordings/index.ts';
import { scanRows, wantedColumn } from '../../src/recordings/csv-scan.ts';
import { near } from '../near.ts';
import { bytesOf, codes, csv, readCsvText, refusal, seconds, startEpochS } from './rides.ts';

const exact = { abs: 1e-9, why: 'decimal arithmetic on numbers as written' };

describe('a CSV recording', () => {
  test('with the standard columns is read as it stands, and its laps begin where the lap number changes', () => {
    const recording = readCsvText(
      csv(
        'time_s,speed_mps,power_w,altitude_m,distance_m,lat_deg,lon_deg,airspeed_mps,yaw_deg,temperature_c,pressure_hpa,humidity_percent,lap',
        seconds(6).map((t) => [
          t,
          10 + t / 10,
          250,
          101.5,
          10 * t,
          1.5,
          -2.5,
          11,
          -3,
          20.5,
          1010,
          55,
          t < 2 ? 1 : t < 5 ? 2 : 3,
        ]),
      ),
    );
    assert.equal(recording.format, 'csv');
    assert.deepEqual([...recording.timeS], [0, 1, 2, 3, 4, 5]);
    near(recording.channels.speedMps!, [10, 10.1, 10.2, 10.3, 10.4, 10.5], exact);
    assert.deepEqual(Object.keys(recording.channels).length, 11);
    near(recording.channels.yawDeg!, Array(6).fill(-3), exact);
    assert.deepEqual([...recording.lapMarksS], [2, 5]);
    assert.equal(recording.startEpochS, null);
    assert.deepEqual(recording.warnings, []);
  });

  test('of another make is read through a column map, each column in its own unit', () => {
    const recording = readCsvText(
      csv('Clock,Kph,kW,Alt ft,Air mph,F,bar', [
        [0, 36, 0.25, 1000, 20, 68, 101.325],
        [0.5, 18, 0.1, 0, 10, 32, 100],
      ]).replaceAll('bar', 'Baro'),
      {
        columnMap: {
          time_s: { column: 'Clock', unit: 'min' },
          speed_mps: { column: 'kph', unit: 'km/h' },
          power_w: { column: 'kW', unit: 'kW' },
          altitude_m: { column: 'Alt ft', unit: 'ft' },
          airspeed_mps: { column: 'Air mph', unit: 'mph' },
          temperature_c: { column: 'F', unit: '°F' },
          pressure_hpa: { column: 'Baro', unit: 'kPa' },
        },
      },
    );
    assert.deepEqual([...recording.timeS], [0, 30]);
    near(recording.channels.speedMps!, [10, 5], exact);
    near(recording.channels.powerW!, [250, 100], exact);
    // International foot 0.3048 m and mile 1609.344 m: exact by definition (1959 agreement, NIST SP 811 appendix B).
    near(recording.channels.altitudeM!, [304.8, 0], exact);
    near(recording.channels.airspeedMps!, [8.9408, 4.4704], exact);
    near(recording.channels.temperatureC!, [20, 0], exact);
    near(recording.channels.pressureHPa!, [1013.25, 1000], exact);
  });

  test('keeps every unit that a map may name apart: radians, kelvin, pascals, milliseconds, fractions', () => {
    const recording = readCsvText(
      csv('t,v,p,la,lo,y,T,ps,q,rh', [
        [0, 36, 250, 0.5, -0.25, 0.1, 293.15, 101325, 0.6, 0.5],
        [1500, 36, 250, 0.5, -0.25, 0.1, 293.15, 101325, 0.6, 0.5],
      ]),
      {
        columnMap: {
          time_s: { column: 't', unit: 'ms' },
          speed_mps: { column: 'v', unit: 'km/h' },
          power_w: { column: 'p' },
          lat_deg: { column: 'la', unit: 'rad' },
          lon_deg: { column: 'lo', unit: 'rad' },
          yaw_deg: { column: 'y', unit: 'rad' },
          temperature_c: { column: 'T', unit: 'K' },
          pressure_hpa: { column: 'ps', unit: 'Pa' },
          dynamic_pressure_pa: { column: 'q', unit: 'mbar' },
          humidity_percent: { column: 'rh', unit: '1' },
        },
      },
    );
    near(recording.timeS, [0, 1.5], exact);
    near(recording.channels.latDeg![0], 90 / Math.PI, exact);
    near(recording.channels.lonDeg![0], -45 / Math.PI, exact);
    near(recording.channels.yawDeg![0], 18 / Math.PI, exact);
    near(recording.channels.temperatureC![0], 20, exact);
    near(recording.channels.pressureHPa![0], 1013.25, exact);
    near(recording.channels.dynamicPressurePa![0], 60, exact);
    near(recording.channels.humidityPercent![0], 50, exact);
  });

  for (const [name, mark] of [
    ['semicolons', ';'],
    ['tabs', '\t'],
  ]) {
    test(`with ${name} and decimal commas, a byte order mark and Windows line ends is read`, () => {
      const text = `\uFEFFtime_s${mark}speed_mps${mark}power_w\r\n0${mark}10,25${mark}250\r\n1${mark}10,5${mark}251,5\r\n`;
      const recording = readCsvText(text);
      near(recording.channels.speedMps!, [10.25, 10.5], exact);
      near(recording.channels.powerW!, [250, 251.5], exact);
      assert.deepEqual(recording.warnings, []);
    });
  }

  test('in UTF-16, with line ends of one carriage return, or with remarks above the header is read', () => {
    const text = '# invented\n\ntime_s,speed_mps,power_w\n0,10,250\n1,11,251\n';
    const utf16 = new Uint8Array(Buffer.from(`\uFEFF${text}`, 'utf16le'));
    for (const recording of [
      readCsvText(text),
      readRecording(utf16, 'run.csv'),
      readRecording(
        utf16.map((_, i) => utf16[i ^ 1]),
        'run.csv',
      ),
      readCsvText(text.replaceAll('\n', '\r')),
    ]) {
      assert.deepEqual([...recording.channels.speedMps!], [10, 11]);
      assert.deepEqual(recording.warnings, []);
    }
  });

  test('with decimal commas between commas is refused, saying to use semicolons', () => {
    const problem = refusal(() =>
      readCsvText('time_s,speed_mps,power_w\n0,10,25,250\n1,10,5,251\n'),
    );
    assert.equal(problem.code, 'format-damaged');
    assert.match(problem.remedy!, /semicolons/);
  });

  test('without a time column is refused with what it has, and how a map is written', () => {
    const problem = refusal(() => readCsvText('secs,kph,watts\n0,36,250\n1,36,250\n'));
    assert.equal(problem.code, 'column-missing');
    assert.equal(problem.place?.line, 1);
    assert.match(problem.message, /time_s/);
    assert.match(problem.message, /speed_mps/);
    assert.match(problem.message, /secs, kph, watts/);
    assert.match(problem.remedy!, /csv: \{columns: \{time_s: \{column: /);
  });

  test('whose map names a column that is not there is refused, and so is a unit that the column cannot have', () => {
    const text = 'time_s,speed_mps,power_w\n0,10,250\n1,10,250\n';
    const missing = refusal(() =>
      readCsvText(text, { columnMap: { power_w: { column: 'watts' } } }),
    );
    assert.equal(missing.code, 'column-missing');
    assert.match(missing.message, /"watts"/);
    const unit = refusal(() =>
      readCsvText(text, { columnMap: { power_w: { column: 'power_w', unit: 'km/h' } } }),
    );
    assert.equal(unit.code, 'sheet-unit');
    assert.match(unit.message, /W, kW/);
  });

  test('with clock times in ISO 8601 knows when it began; offsets and fractions of a second count', () => {
    const recording = readCsvText(
      'time_s,speed_mps,power_w\n2026-05-17T10:00:00+0200,10,250\n2026-05-17T08:00:01.500Z,10,250\n2026-05-17 08:00:02,10,250\n',
    );
    assert.equal(recording.startEpochS, startEpochS);
    near(recording.timeS, [0, 1.5, 2], { abs: 1e-6, why: 'double seconds since 1970' });
  });

  test('with seconds since 1970 knows when it began', () => {
    const recording = readCsvText(
      `time_s,speed_mps,power_w\n${startEpochS},10,250\n${startEpochS + 1},10,250\n`,
    );
    assert.equal(recording.startEpochS, startEpochS);
    assert.deepEqual([...recording.timeS], [0, 1]);
  });

  test('says how many cells are no numbers, and where the first stands; empty cells are just missing', () => {
    const recording = readCsvText(
      'time_s,speed_mps,power_w,airspeed_mps\n0,10,250,11\n1,fast,NaN,\n2,10,inf,\n3,quick,250,11\n',
    );
    assert.deepEqual([...recording.channels.speedMps!], [10, NaN, 10, NaN]);
    assert.deepEqual([...recording.channels.powerW!], [250, NaN, NaN, 250]);
    assert.deepEqual([...recording.channels.airspeedMps!], [11, NaN, NaN, 11]);
    const [speed, power] = recording.warnings;
    assert.equal(speed.place?.line, 3);
    assert.match(speed.message, /"fast" in speed_mps is no number; 2 such/);
    assert.match(power.message, /"NaN" in power_w is no number; 2 such/);
    assert.deepEqual(new Set(codes(recording)), new Set(['value-invalid', 'channel-partial']));
  });

  test('with rows of uneven length keeps what they hold, and says so', () => {
    const recording = readCsvText(
      'time_s,speed_mps,power_w\n0,10,250\n1,10\n2,10,250,7\n3,10,250\n',
    );
    assert.deepEqual([...recording.channels.powerW!], [250, NaN, 250, 250]);
    assert.match(recording.warnings[0].message, /2 of 4 rows/);
    assert.equal(recording.warnings[0].place?.line, 3);
  });

  test('of ten million rows is refused in under a second, before it takes memory', () => {
    const row = '1,2,3\n';
    const bytes = Buffer.alloc(row.length * 10_000_000, row);
    bytes.write('time_s,speed_mps,power_w\n');
    const before = process.memoryUsage().arrayBuffers;
    const began = performance.now();
    const problem = refusal(() => readRecording(bytes, 'run.csv'));
    const tookMs = performance.now() - began;
    assert.equal(problem.code, 'file-too-large');
    assert.match(problem.message, /5,000,000 rows/);
    assert.ok(tookMs < 1000, `took ${tookMs} ms`);
    assert.ok(process.memoryUsage().arrayBuffers - before < 1e6, 'no column was made');
  });
});

describe('the fast way through a CSV file', () => {
  /** Cells such as devices write, and such as go wrong. */
  const cell = fc.oneof(
    {
      weight: 6,
      arbitrary: fc
        .double({ noNaN: true, noDefaultInfinity: true, min: -1e7, max: 1e7 })
        .map(String),
    },
    {
      weight: 4,
      arbitrary: fc.integer({ min: -100_000, max: 100_000 }).map((n) => (n / 1000).toFixed(3)),
    },
    {
      weight: 1,
      arbitrary: fc.constantFrom(
        '',
        ' ',
        'NaN',
        '-',
        '+5',
        '.5',
        '5.',
        '.',
        '-.25e3',
        '1e400',
        ' 7',
        '7 ',
        '1\r2',
        '--1',
        '0x10',
        '00012.50',
        '123456789012345678',
        '1,5',
        '1.2.3',
      ),
    },
  );
  for (const separator of [',', ';']) {
    test(`gives the numbers that papaparse gives with "${separator}" between`, () => {
      const format = { decimalComma: separator !== ',', isoTime: false };
      const own = cell.filter((text) => !text.includes(separator));
      fc.assert(
        fc.property(
          fc.array(fc.tuple(own, own, own), { minLength: 1, maxLength: 20 }),
          fc.constantFrom('\n', '\r\n'),
          (rows, lineEnd) => {
            // A line that is blank throughout is skipped by both; give each row a first cell to see it by.
            const text = rows.map((row) => ['1', ...row].join(separator)).join(lineEnd);
            const columns = [0, 1, 2, 3].map((i) => wantedColumn(i, rows.length + 1, format));
            const { rows: read } = scanRows(
              bytesOf(text),
              0,
              1,
              separator.charCodeAt(0),
              4,
              columns,
            );
            const parsed = Papa.parse<string[]>(text, {
              delimiter: separator,
              newline: lineEnd,
              quoteChar: '\0',
            }).data;
            assert.equal(read, parsed.length);
            parsed.forEach((row, r) =>
              row.forEach((text, c) =>
                assert.ok(
                  Object.is(columns[c].values[r], readCell(text, format).value),
                  `${text}: ${columns[c].values[r]}`,
                ),
              ),
            );
          },
        ),
        { seed: 2, numRuns: 300 },
      );
    });
  }

  test('and the general way read the same ride the same', () => {
    const rows = seconds(200).map((t) => [
      t,
      (10 + Math.sin(t)).toFixed(3),
      250 + (t % 9),
      (t / 7).toFixed(6),
    ]);
    const plain = csv('time_s,speed_mps,power_w,altitude_m', rows);
    const quoted = plain.replace('\n0,', '\n"0",');
    assert.deepEqual(readCsvText(quoted), readCsvText(plain));
  });
});
