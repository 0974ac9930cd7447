//! Time that this program was given, not time that passed: on a busy machine only the first
//! compares.

use std::time::Instant;

/// Seconds of processor time used by this process, all threads, in steps of 10 ms; `None`
/// where the system does not say (anything but Linux).
pub fn cpu_s() -> Option<f64> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    // The command's name may hold spaces, but ends with the last bracket.
    let after = stat.rsplit_once(')')?.1;
    let fields: Vec<&str> = after.split_whitespace().collect();
    let ticks = fields.get(11)?.parse::<f64>().ok()? + fields.get(12)?.parse::<f64>().ok()?;
    Some(ticks / 100.0)
}

/// Highest memory use of this process so far, bytes (Linux).
pub fn peak_bytes() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kib: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib * 1024)
}

/// Shortest time that passed and mean processor time of `runs` calls, seconds.
pub fn time<T>(runs: usize, mut f: impl FnMut() -> T) -> (f64, f64) {
    let mut best = f64::MAX;
    let before = cpu_s();
    for _ in 0..runs {
        let t = Instant::now();
        std::hint::black_box(f());
        best = best.min(t.elapsed().as_secs_f64());
    }
    let cpu = match (before, cpu_s()) {
        (Some(a), Some(b)) => (b - a) / runs as f64,
        _ => f64::NAN,
    };
    (best, cpu)
}
