import { useState } from 'preact/hooks';

/** What an empty list says: the job in three steps, and invented sounds on which to try them. */
export function EmptyListen({ openDemo }: { openDemo: () => Promise<void> }) {
  const [busy, setBusy] = useState(false);
  const open = async () => {
    setBusy(true);
    await openDemo();
    setBusy(false);
  };
  return (
    <section class="empty">
      <h2>The brake howls. Is it the spokes?</h2>
      <ol>
        <li>
          <b>Record</b> the descent: a phone fixed to the bicycle is enough. Where you may ride and
          how you brake comes first; leave the phone alone while you ride.
        </li>
        <li>
          <b>Pluck</b> the spokes in the workshop, free and with the brake locked under a known
          torque: each has its own pitch, and torque moves it.
        </li>
        <li>
          <b>Read</b> which tones are in the ride and what could make them, each cause with its odds
          and its reason, “none of these” among them.
        </li>
      </ol>
      <p>
        The demo has all of it on invented sounds: a minute of a descent, and the plucks of its
        wheel.
      </p>
      <button type="button" class="button primary" disabled={busy} onClick={() => void open()}>
        {busy ? 'Making the demo, a few seconds …' : 'Open the demo'}
      </button>
      <p role="status" class="unseen">
        {busy ? 'Making the demo' : ''}
      </p>
    </section>
  );
}
