import { useEffect } from 'preact/hooks';
import { BenchScreen } from './bench/bench-screen.tsx';
import { ItemScreen } from './bench/item-screen.tsx';
import { DaysScreen } from './days/days-screen.tsx';
import { DayScreen } from './day/day-screen.tsx';
import { ListenScreen } from './listen/listen-screen.tsx';
import { PluckSession } from './listen/pluck-session.tsx';
import { SoundScreen } from './listen/sound-screen.tsx';
import { NoticeArea, NoticeProvider } from './parts/notices.tsx';
import { useRoute } from './route.ts';

export function App() {
  const route = useRoute();
  const place = JSON.stringify(route);
  useEffect(() => window.scrollTo(0, 0), [place]);
  return (
    <NoticeProvider>
      <a class="skip" href="#main" onClick={skip}>
        Skip to the content
      </a>
      {route.name === 'days' && <DaysScreen />}
      {route.name === 'day' && <DayScreen key={route.id} id={route.id} part={route.part} />}
      {route.name === 'bench' && <BenchScreen />}
      {route.name === 'bench-item' && <ItemScreen key={route.id} id={route.id} />}
      {route.name === 'listen' && <ListenScreen />}
      {route.name === 'sound' && <SoundScreen key={route.id} id={route.id} />}
      {route.name === 'pluck-session' && (
        <PluckSession key={route.noise ?? ''} noise={route.noise} />
      )}
      <NoticeArea />
    </NoticeProvider>
  );
}

/** The address's hash says which day is open, so the skip link moves the focus itself. */
function skip(event: Event) {
  event.preventDefault();
  document.getElementById('main')?.focus();
}
