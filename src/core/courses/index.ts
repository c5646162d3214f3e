/** Courses: the road of a recording, smoothed with its error, in equal steps. */
export type { Corner, Course, CourseOptions } from './course.ts';
export { courseFrom } from './course-from.ts';
export { plainCourse, type PlainStretch } from './plain-course.ts';
