import { useState } from 'preact/hooks';

/** What an empty bench says: the job in three steps, and an invented bench on which to try them. */
export function EmptyBench({ openDemo }: { openDemo: () => Promise<void> }) {
  const [busy, setBusy] = useState(false);
  const open = async () => {
    setBusy(true);
    await openDemo();
    setBusy(false);
  };
  return (
    <section class="empty">
      <h2>How stiff is this wheel, and where is the slop?</h2>
      <ol>
        <li>
          <b>Clamp</b> the axle, set a dial against the rim, and read it at no load, at the preload,
          at several side loads up and at the same on the way down.
        </li>
        <li>
          <b>Take the wheel out</b>, mount it afresh and read again, three times or more: what
          changes from remount to remount is how sure the stiffness is.
        </li>
        <li>
          <b>Read</b> the stiffness with its 95&nbsp;% interval, and the slop apart from it. Spoke
          tensions and a wheel sheet then say why.
        </li>
      </ol>
      <p>The demo has all three, of invented wheels: open it and change what you like.</p>
      <button type="button" class="button primary" disabled={busy} onClick={() => void open()}>
        {busy ? 'Making the demo …' : 'Open the demo'}
      </button>
    </section>
  );
}
