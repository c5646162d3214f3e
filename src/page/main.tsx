import { render } from 'preact';
import { App } from './app.tsx';
import './styles/base.css';
import './styles/parts.css';
import './styles/days.css';
import './styles/day.css';
import './styles/runs.css';
import './styles/bench.css';
import './styles/bench-entry.css';
import './styles/bench-wheel.css';
import './styles/listen.css';
import './styles/listen-picture.css';
import './styles/plucks.css';
import './styles/record.css';

render(<App />, document.getElementById('page') as HTMLElement);
