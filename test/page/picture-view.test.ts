import test from 'node:test';
import assert from 'node:assert/strict';
import { inside, moved, showing, zoomed } from '../../src/page/listen/picture-view.ts';
import { near } from '../near.ts';

const hourS = 3600;

test('stretched about a moment, that moment stays where it is', () => {
  const view = { fromS: 100, toS: 500 };
  const closer = zoomed(view, 4, 200, hourS);
  near(closer.toS - closer.fromS, 100, { abs: 1e-9, why: 'a quarter of the length' });
  near((200 - closer.fromS) / 100, 0.25, { abs: 1e-9, why: 'as before: a quarter from the left' });
});

test('nothing beyond the ends of the sound comes into view, and half a second is the closest', () => {
  assert.deepEqual(moved({ fromS: 0, toS: 60 }, -5, hourS), { fromS: 0, toS: 60 });
  assert.deepEqual(moved({ fromS: 3500, toS: 3560 }, 9, hourS), { fromS: 3540, toS: 3600 });
  assert.deepEqual(zoomed({ fromS: 0, toS: 60 }, 1e-9, 30, hourS), { fromS: 0, toS: 3600 });
  const closest = zoomed({ fromS: 0, toS: 60 }, 1e9, 30, hourS);
  near(closest.toS - closest.fromS, 0.5, { abs: 1e-9, why: 'the closest' });
  assert.deepEqual(
    inside({ fromS: -1, toS: 9 }, 0.3),
    { fromS: 0, toS: 0.3 },
    'a short sound whole',
  );
});

test('a tone out of view, or a dot in an hour, is brought near; one that is seen moves nothing', () => {
  const view = { fromS: 100, toS: 200 };
  assert.equal(showing(view, 120, 140, hourS), view);
  const far = showing(view, 1000, 1010, hourS);
  assert.ok(far.fromS < 1000 && far.toS > 1010 && far.toS - far.fromS < 40);
  const dot = showing({ fromS: 0, toS: hourS }, 1000, 1004, hourS);
  assert.ok(dot.toS - dot.fromS < 20);
});
