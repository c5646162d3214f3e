import { render } from 'preact';
import { App } from './app.tsx';
import './styles/base.css';
import './styles/parts.css';
import './styles/days.css';
import './styles/day.css';
import './styles/runs.css';

render(<App />, document.getElementById('page') as HTMLElement);
