package drive

import "beamhelm/drive/step"

// maxWaiting is the number of commands that may wait for the loop; beyond it
// the oldest goes, which only a caller that floods the loop can bring about.
// A Stop never goes.
const maxWaiting = 256

// Orders are a course and commands that were worked out together.
type Orders struct {
	// Stops is what Loop.Stops said when the work on them began.
	Stops uint64
	// Course is valid with HasCourse; it is in force before the commands are.
	Course    step.Course
	HasCourse bool
	Commands  []step.Command
}

// Stops is how many Stops have been asked so far. It tells the generation of
// an order: what was begun before a Stop is void after it.
func (l *Loop) Stops() uint64 {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.stops
}

// Stop ends every motion at once, and makes void what starts one and was asked
// or begun before it. It never blocks, overtakes everything that waits and wakes the loop.
func (l *Loop) Stop() {
	l.mu.Lock()
	l.stops++
	l.stop, l.renewed = true, false
	l.commands = enders(l.commands)
	l.stopping.Store(true)
	l.mu.Unlock()
	select {
	case l.wake <- struct{}{}:
	default:
	}
}

// enders leaves out the commands that start something.
func enders(commands []step.Command) []step.Command {
	kept := commands[:0]
	for _, c := range commands {
		if !step.VoidAfterStop(c) {
			kept = append(kept, c)
		}
	}
	return kept
}

// Ask hands the loop a command that is asked for now. It never blocks.
func (l *Loop) Ask(m step.Command) {
	if _, stop := m.(step.Stop); stop {
		l.Stop()
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.wait(m)
}

// Hand gives the loop orders that took time to work out. Where a Stop was asked
// meanwhile, the course and the commands that start something are dropped.
func (l *Loop) Hand(o Orders) {
	l.mu.Lock()
	defer l.mu.Unlock()
	void := o.Stops < l.stops
	if o.HasCourse && !void {
		l.course, l.renewed = o.Course, true
	}
	for _, m := range o.Commands {
		if !void || !step.VoidAfterStop(m) {
			l.wait(m)
		}
	}
}

// wait puts a command behind those that wait. It needs the lock.
func (l *Loop) wait(m step.Command) {
	if len(l.commands) == maxWaiting {
		l.commands = append(l.commands[:0], l.commands[1:]...)
	}
	l.commands = append(l.commands, m)
}

// gather puts what was asked and told since the last tick into the inputs, a Stop first.
func (l *Loop) gather(in *step.Inputs) {
	l.mu.Lock()
	defer l.mu.Unlock()
	in.CommandCount = 0
	if l.stop {
		in.Commands[0], in.CommandCount = step.Stop{}, 1
	}
	l.stop = false
	l.stopping.Store(false)
	n := copy(in.Commands[in.CommandCount:], l.commands)
	in.CommandCount += n
	l.commands = append(l.commands[:0], l.commands[n:]...)
	in.NewCourse = l.renewed
	if l.renewed {
		in.Course, l.renewed = l.course, false
	}
	o := &l.surroundings
	in.Sun, in.HasSun = o.Sun, o.HasSun
	in.ClockOffset, in.HasClockOffset = o.ClockOffset, o.HasClockOffset
}
