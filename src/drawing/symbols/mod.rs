//! Symbols of parts, drawn along a path that runs from left to right through their middle.
//!
//! Two hands: IEC 60617 and the North American style of IEEE 315, both drawn from knowledge of the standards and not
//! traced. Where the two agree the symbol stands in `common`. A symbol brings its own leads: it ends at
//! [`Extent::half`] on either side of its middle.

mod common;
mod contacts;
mod iec;
mod north_american;

use super::canvas::{Canvas, Pen, Point};

/// Whose symbols are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SymbolStyle {
    /// IEC 60617.
    #[default]
    Iec,
    /// IEEE 315, as North American manuals draw.
    NorthAmerican,
}

/// What moves a contact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Actuator {
    /// A relay's coil.
    Relay,
    /// A hand, a coin, a door.
    Hand,
    /// A cam.
    Cam,
}

/// How a contact is built, seen at rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Open at rest.
    Make,
    /// Closed at rest.
    Break,
    /// Change-over, used on its make side.
    ChangeOverMake,
    /// Change-over, used on its break side.
    ChangeOverBreak,
}

/// A symbol with what it shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Symbol {
    /// DC source; the positive plate on the left if `positive_left`.
    Direct {
        /// Which plate comes first.
        positive_left: bool,
    },
    /// AC source.
    Alternating,
    /// Rectified source.
    Rectified,
    /// Fuse, whole or opened.
    Fuse {
        /// Whether it has opened.
        opened: bool,
    },
    /// One contact as it stands.
    Contact {
        /// How it is built.
        form: Form,
        /// Whether it conducts.
        closed: bool,
        /// What moves it.
        actuator: Actuator,
        /// Whether the common (hinge) side is on the right.
        hinge_right: bool,
    },
    /// Several contacts in series.
    Bank {
        /// How they are built.
        form: Form,
        /// Whether they conduct.
        closed: bool,
        /// What moves them.
        actuator: Actuator,
    },
    /// Selector: wiper over one or two rows of segments.
    Selector {
        /// Whether the path crosses from one ring to another.
        two_rings: bool,
        /// Whether the wiper stands where the path needs it.
        closed: bool,
    },
    /// Relay coil.
    RelayCoil,
    /// Solenoid.
    Solenoid,
    /// Motor.
    Motor {
        /// Whether it runs on AC.
        alternating: bool,
    },
    /// Filament lamp.
    Lamp,
    /// Resistor.
    Resistor,
    /// Capacitor.
    Capacitor,
    /// Inductor.
    Inductor,
    /// Diode; the cathode on the right if `forward`.
    Diode {
        /// Whether the path enters at the anode.
        forward: bool,
        /// Whether it is a Zener diode.
        zener: bool,
    },
    /// Loudspeaker.
    Speaker,
    /// Plug and socket contact.
    Pin,
}

/// How far a symbol reaches from its middle, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// To either side, leads included.
    pub half: f64,
    /// Above the path.
    pub up: f64,
    /// Below the path.
    pub down: f64,
}

impl Symbol {
    /// How far it reaches.
    #[must_use]
    pub fn extent(self, style: SymbolStyle) -> Extent {
        let (half, up, down) = match self {
            Symbol::Direct { .. } => (3.0, 5.2, 5.2),
            Symbol::Alternating | Symbol::Rectified => (5.0, 4.2, 4.2),
            Symbol::Fuse { .. } => (6.0, 2.4, 2.4),
            Symbol::Contact { .. } => (6.0, 9.6, 1.2),
            Symbol::Bank { .. } => (9.0, 9.6, 1.2),
            Symbol::Selector { .. } => (7.5, 3.6, 3.6),
            Symbol::RelayCoil => match style {
                SymbolStyle::Iec => (4.0, 5.4, 5.4),
                SymbolStyle::NorthAmerican => (5.0, 4.0, 4.0),
            },
            Symbol::Solenoid => match style {
                SymbolStyle::Iec => (5.0, 5.4, 5.4),
                SymbolStyle::NorthAmerican => (7.0, 3.8, 1.0),
            },
            Symbol::Motor { .. } => (5.4, 4.4, 4.4),
            Symbol::Lamp => (4.6, 3.6, 3.6),
            Symbol::Resistor => (6.0, 2.0, 2.0),
            Symbol::Capacitor => (3.0, 3.6, 3.6),
            Symbol::Inductor => (7.0, 2.4, 1.0),
            Symbol::Diode { .. } => (4.0, 2.6, 2.6),
            Symbol::Speaker => (4.4, 4.6, 4.6),
            Symbol::Pin => (3.2, 1.8, 1.8),
        };
        Extent { half, up, down }
    }

    /// Draws it with its middle at a point.
    pub fn draw(self, canvas: &mut Canvas, style: SymbolStyle, middle: Point) {
        let mut hand = Hand { canvas, middle, half: self.extent(style).half };
        match self {
            Symbol::Direct { positive_left } => common::direct(&mut hand, positive_left),
            Symbol::Alternating => common::alternating(&mut hand),
            Symbol::Rectified => common::rectified(&mut hand),
            Symbol::Motor { alternating } => common::motor(&mut hand, alternating),
            Symbol::Inductor => common::inductor(&mut hand),
            Symbol::Speaker => common::speaker(&mut hand),
            Symbol::Selector { two_rings, closed } => common::selector(&mut hand, two_rings, closed),
            Symbol::Contact { form, closed, actuator, hinge_right } => {
                contacts::contact(&mut hand, style, form, closed, actuator, hinge_right);
            }
            Symbol::Bank { form, closed, actuator } => contacts::bank(&mut hand, style, form, closed, actuator),
            other => match style {
                SymbolStyle::Iec => iec::draw(&mut hand, other),
                SymbolStyle::NorthAmerican => north_american::draw(&mut hand, other),
            },
        }
    }
}

/// Draws around the middle of a symbol.
struct Hand<'c> {
    canvas: &'c mut Canvas,
    middle: Point,
    half: f64,
}

impl Hand<'_> {
    fn at(&self, (x, y): Point) -> Point {
        (self.middle.0 + x, self.middle.1 + y)
    }

    fn line(&mut self, pen: Pen, points: &[Point]) {
        let placed: Vec<Point> = points.iter().map(|point| self.at(*point)).collect();
        self.canvas.line(pen, &placed);
    }

    fn outline(&mut self, pen: Pen, points: &[Point]) {
        let placed: Vec<Point> = points.iter().map(|point| self.at(*point)).collect();
        self.canvas.outline(pen, &placed);
    }

    fn circle(&mut self, pen: Pen, centre: Point, radius: f64) {
        self.canvas.circle(pen, self.at(centre), radius);
    }

    fn arc(&mut self, from: Point, to: Point, radius: f64, clockwise: bool) {
        self.canvas.arc(Pen::Conductor, self.at(from), self.at(to), radius, clockwise);
    }

    fn solid(&mut self, points: &[Point]) {
        let placed: Vec<Point> = points.iter().map(|point| self.at(*point)).collect();
        self.canvas.solid(super::canvas::Ink::Black, &placed);
    }

    fn dot(&mut self, centre: Point, radius: f64) {
        self.canvas.disc(self.at(centre), radius);
    }

    fn ring(&mut self, centre: Point, radius: f64) {
        self.canvas.ring(self.at(centre), radius);
    }

    /// Leads from both ends of the symbol to its body, which reaches `body` to either side.
    fn leads(&mut self, body: f64) {
        let half = self.half;
        self.line(Pen::Conductor, &[(-half, 0.0), (-body, 0.0)]);
        self.line(Pen::Conductor, &[(body, 0.0), (half, 0.0)]);
    }

    /// A small sine wave of so many millimetres.
    fn sine(&mut self, centre: Point, long: f64) {
        let (x, y) = centre;
        let (start, middle, end) = (self.at((x - long / 2.0, y)), self.at((x, y)), self.at((x + long / 2.0, y)));
        let rise = long * 0.35;
        let quarter = long / 4.0;
        self.canvas.curve(
            Pen::Conductor,
            start,
            (start.0 + quarter * 0.7, start.1 - rise * 1.3),
            (middle.0 - quarter * 0.7, middle.1 - rise * 1.3),
            middle,
        );
        self.canvas.curve(
            Pen::Conductor,
            middle,
            (middle.0 + quarter * 0.7, middle.1 + rise * 1.3),
            (end.0 - quarter * 0.7, end.1 + rise * 1.3),
            end,
        );
    }
}
