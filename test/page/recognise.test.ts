/** Files that are dropped on the bench. */
import test from 'node:test';
import assert from 'node:assert/strict';
import { recognise } from '../../src/page/bench/recognise.ts';
import { benchHref, readRoute } from '../../src/page/route.ts';

const kindOf = (text: string) => {
  const found = recognise('dropped.csv', text);
  return 'kind' in found ? found.kind : null;
};
const refusal = (text: string) => {
  const found = recognise('dropped.csv', text);
  assert.ok('problem' in found);
  assert.equal(found.problem.file, 'dropped.csv');
  assert.ok(found.problem.remedy);
  return found.problem.message;
};

test('readings are recognised by their columns, with faults in the header too', () => {
  const all = 'remount,position_deg,direction,load_n,deflection_mm';
  assert.equal(kindOf(`${all}\n1,0,load,0,0\n`), 'stiffness');
  assert.equal(kindOf('# by the window\nRemount;Load N;Deflection mm\n1;30;0,9\n'), 'stiffness');
  assert.equal(kindOf('spoke,side,reading\n1,left,900\n'), 'tension');
  assert.equal(kindOf('\uFEFFspoke\tside\treading\r\n1\tleft\t900\r\n'), 'tension');
});

test('a wheel sheet is recognised as YAML and as JSON', () => {
  assert.equal(kindOf('name: Front\nrim: {radiusM: 0.3}\nhub: {}\nspokes: {}\n'), 'wheel');
  assert.equal(kindOf('{"rim": {"radiusM": 0.3},\n "hub": {}, \n"spokes": {}}'), 'wheel');
});

test('line ends and marks of other programs are evened out', () => {
  const found = recognise('a.csv', '\uFEFFspoke,side,reading\r\n1,left,900\r\n');
  assert.deepEqual(found, { kind: 'tension', input: 'spoke,side,reading\n1,left,900\n' });
});

test('a wrong file is told with what it seems to be and where it belongs', () => {
  assert.match(refusal(''), /empty/);
  assert.match(refusal('PK\u0003\u0004\0\0'), /not text/);
  assert.match(refusal('title: A day\nsetups:\n  - {id: a}\nruns:\n  - {setup: a}\n'), /test day/);
  assert.match(refusal('spoke_type,reading,tension_n\nround,20,900\n'), /calibration/);
  assert.match(refusal('milk, 2 l\nbread\n'), /begins with "milk", "2_l"/);
});

test('addresses of the bench survive the round trip', () => {
  assert.deepEqual(readRoute(benchHref()), { name: 'bench' });
  assert.deepEqual(readRoute(benchHref('a b')), { name: 'bench-item', id: 'a b' });
});
