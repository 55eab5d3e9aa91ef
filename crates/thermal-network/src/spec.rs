//! What a plant is made of, as its designer would say it: the input of [`crate::Plant::assemble`].
//!
//! Heights are shares of a tank's height, 0 at the bottom and 1 at the top. Everything is SI; temperatures in degC.

mod exchanger;
mod kind;
mod plumbing;
mod pump;

pub use exchanger::{CoilInlet, CoilTubeSpec, ExchangerSpec, PlateRating};
pub use kind::{
    DrainbackSpec, DumpSpec, Duties, FreezeSpec, LoopKind, NaturalSpec, NightCoolingSpec, PumpDrive,
    SecondFieldSpec,
};
pub use plumbing::{
    Around, BypassSpec, InletMixingSpec, PlumbingSpec, RecirculationSpec, TransferSpec, WaterPipeSpec,
    WaterPumpSpec,
};
pub use pump::{PumpFlow, PumpOverTemperature, PumpSpec};

use crate::fluid::Fluid;

/// A whole plant: the tanks in the order in which drawn water passes them, and the collector loop that heats the first.
#[derive(Clone, Debug, PartialEq)]
pub struct PlantSpec {
    /// The solar loop; `None` for a conventional water heater.
    pub solar_loop: Option<LoopSpec>,
    /// One or two tanks; cold water enters the first, hot water leaves the last. The loop heats the first.
    pub tanks: Vec<TankSpec>,
    /// What joins the tanks to each other and to the house.
    pub plumbing: PlumbingSpec,
    /// A heater the drawn water passes after the last tank, if any.
    pub flow_heater: Option<FlowHeaterSpec>,
    /// Step lengths.
    pub numerics: Numerics,
}

/// Step lengths. Raising them saves time and costs accuracy; the defaults are those the reference tests run with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Numerics {
    /// Longest step of the running collector loop, in s.
    pub loop_step_s: f64,
    /// Longest step of a tank while a coil or an element heats it, in s. The pump is decided at the control interval all
    /// the same; draws take the steps their flow needs.
    pub tank_step_s: u32,
    /// Longest step while nothing flows, in s.
    pub quiet_step_s: u32,
}

impl Default for Numerics {
    fn default() -> Self {
        Self { loop_step_s: 60.0, tank_step_s: 450, quiet_step_s: 3600 }
    }
}

/// Collector loop: from the exchanger through supply pipe, collector and return pipe, with its pump and controller.
#[derive(Clone, Debug, PartialEq)]
pub struct LoopSpec {
    /// The collector field.
    pub collector: CollectorSpec,
    /// What circulates. For [`ExchangerSpec::OpenLoop`] the tank's water must be given.
    pub fluid: Fluid,
    /// Pump.
    pub pump: PumpSpec,
    /// Runs from tank to collector, in the order the fluid passes them.
    pub supply: Vec<PipeRunSpec>,
    /// Runs from collector to tank, in the order the fluid passes them.
    pub ret: Vec<PipeRunSpec>,
    /// How the heat enters the first tank.
    pub exchanger: ExchangerSpec,
    /// Differential controller.
    pub controller: ControllerSpec,
    /// What the loop does at rest, and what moves it.
    pub kind: LoopKind,
    /// A second field on another plane, side by side with the first, with [`LoopKind::Filled`].
    pub second_field: Option<SecondFieldSpec>,
}

/// Coefficients of ISO 9806:2017 on one reference area, for the whole field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CollectorSpec {
    /// Reference area of the whole field in m2: the area all coefficients refer to.
    pub area_m2: f64,
    /// Peak efficiency for beam at normal incidence.
    pub eta0b: f64,
    /// Linear loss in W/(m2 K) at 3 m/s wind.
    pub a1_w_m2_k: f64,
    /// Rise of the loss with temperature in W/(m2 K2).
    pub a2_w_m2_k2: f64,
    /// Rise of the loss with wind in J/(m3 K).
    pub a3_j_m3_k: f64,
    /// Share of the net sky long-wave that is taken up.
    pub a4_frac: f64,
    /// Effective heat capacity in J/(m2 K), fluid content included.
    pub a5_j_m2_k: f64,
    /// Fall of the zero-loss efficiency with wind in s/m.
    pub a6_s_m: f64,
    /// Change of the long-wave share with wind in s/m.
    pub a7_s_m: f64,
    /// Loss with the fourth power of the difference in W/(m2 K4).
    pub a8_w_m2_k4: f64,
    /// Fully mixed cells in series along the flow; the model's default is 6.
    pub cells: usize,
}

impl Default for CollectorSpec {
    /// A collector that does nothing but be there; for struct update syntax.
    fn default() -> Self {
        Self {
            area_m2: 1.0,
            eta0b: 0.0,
            a1_w_m2_k: 0.0,
            a2_w_m2_k2: 0.0,
            a3_j_m3_k: 0.0,
            a4_frac: 0.0,
            a5_j_m2_k: 1000.0,
            a6_s_m: 0.0,
            a7_s_m: 0.0,
            a8_w_m2_k4: 0.0,
            cells: 6,
        }
    }
}

/// Whose temperature a component loses its heat to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surroundings {
    /// Outdoor air.
    Outdoor,
    /// The room of the first tank.
    TankRoom,
    /// The room of the second tank.
    SecondTankRoom,
    /// Another space the runner describes, an attic for example.
    OtherSpace,
}

/// A length of tube in one surrounding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PipeRunSpec {
    /// Length in m; 0 is allowed.
    pub length_m: f64,
    /// What it loses heat to.
    pub surroundings: Surroundings,
    /// Inner diameter of the tube in m.
    pub bore_m: f64,
    /// Outer diameter of the tube in m.
    pub tube_outer_m: f64,
    /// Thickness of the insulation in m; 0 for bare tube.
    pub insulation_m: f64,
    /// Conductivity of the insulation in W/(m K).
    pub insulation_w_m_k: f64,
    /// Heat capacity of the tube wall in J/(m K).
    pub wall_capacity_j_m_k: f64,
    /// Inside film in W/(m2 K); `None`: Gnielinski or laminar, at the design flow.
    pub inner_film_w_m2_k: Option<f64>,
    /// Outside film in W/(m2 K); `None`: 10 indoors, from the wind outdoors.
    pub outer_film_w_m2_k: Option<f64>,
}

/// How a sensor reads what it is fixed to.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct SensorSpec {
    /// Reading minus true value in K.
    pub offset_k: f64,
    /// Bad seat: share of the difference to the surroundings that is lost, 0 well seated, 0.1 to 0.3 strapped on badly
    /// (common practice).
    pub seat_loss_frac: f64,
    /// First-order lag in s.
    pub lag_s: f64,
}

/// Differential controller of the loop pump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ControllerSpec {
    /// The pump starts at or above this difference, in K.
    pub on_k: f64,
    /// The pump stops at or below this difference, in K.
    pub off_k: f64,
    /// The pump is held off from this tank reading on, in degC.
    pub high_limit_c: f64,
    /// The hold ends this far below the limit, in K.
    pub high_limit_reset_k: f64,
    /// The pump is held off from this collector reading on, in degC; `None`: no such limit.
    pub collector_limit_c: Option<f64>,
    /// The collector hold ends this far below its limit, in K.
    pub collector_limit_reset_k: f64,
    /// Height of the tank sensor.
    pub sensor_height_frac: f64,
    /// How the tank sensor reads.
    pub tank_sensor: SensorSpec,
    /// How the collector sensor reads.
    pub collector_sensor: SensorSpec,
    /// Time between decisions in s.
    pub interval_s: u32,
    /// The pump runs at least this long, in s.
    pub min_on_s: u32,
    /// The pump rests at least this long, in s.
    pub min_off_s: u32,
    /// What else it does.
    pub duties: Duties,
}

/// A vertical cylindrical tank of equal slices, numbered from the bottom.
#[derive(Clone, Debug, PartialEq)]
pub struct TankSpec {
    /// Water volume in m3.
    pub volume_m3: f64,
    /// Height of the water in m.
    pub height_m: f64,
    /// Number of equal, fully mixed slices.
    pub slices: usize,
    /// Density of the water in kg/m3, one value for the tank and the draws.
    pub water_kg_m3: f64,
    /// Specific heat of the water in J/(kg K).
    pub water_j_kg_k: f64,
    /// Loss of the side in W/(m2 K) of shell.
    pub side_w_m2_k: f64,
    /// Loss of the top in W/(m2 K).
    pub top_w_m2_k: f64,
    /// Loss of the bottom, through its pad if any, in W/(m2 K).
    pub bottom_w_m2_k: f64,
    /// Loss of fittings spread evenly over the slices, in W/K.
    pub fittings_even_w_k: f64,
    /// Loss of fittings at their own heights.
    pub fittings: Vec<FittingSpec>,
    /// Effective vertical conductivity of water and wall in W/(m K).
    pub conduction_w_m_k: f64,
    /// What it loses heat to.
    pub surroundings: Surroundings,
    /// Height at which cold water enters.
    pub cold_inlet_frac: f64,
    /// Height at which hot water leaves.
    pub hot_outlet_frac: f64,
    /// What heats it, from the top down where they interlock: elements, a burner, a heat pump.
    pub elements: Vec<ElementSpec>,
    /// True: an element waits while the thermostat of one listed before it calls.
    pub interlock: bool,
}

/// A fitting that loses heat where it sits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittingSpec {
    /// Height.
    pub height_frac: f64,
    /// Loss in W/K.
    pub loss_w_k: f64,
}

/// What heats a tank at a height, with its thermostat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ElementSpec {
    /// What heats.
    pub source: SourceSpec,
    /// Heat into the water while it runs, in W; of a heat pump at its rating point.
    pub power_w: f64,
    /// Height at which the heat enters: of an electric element, of a burner, or of the lower end of a condenser.
    pub height_frac: f64,
    /// Height of its thermostat.
    pub thermostat_frac: f64,
    /// Off at or above this reading, in degC.
    pub set_c: f64,
    /// On at or below `set_c - band_k`, in K.
    pub band_k: f64,
    /// How the thermostat reads.
    pub sensor: SensorSpec,
}

/// Where the heat of an [`ElementSpec`] comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SourceSpec {
    /// An electric element: all it buys is heat.
    Electric,
    /// A gas burner under the tank, with its flue.
    Burner(BurnerSpec),
    /// A heat pump that takes its heat from the air around the tank.
    HeatPump(HeatPumpSpec),
}

/// A gas burner with pilot and flue.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnerSpec {
    /// Heat into the water per fuel while the burner fires, above 0 and at most 1.
    pub efficiency_frac: f64,
    /// Fuel of the pilot in W, day and night; 0 for electronic ignition.
    pub pilot_w: f64,
    /// Share of the pilot's fuel that warms the water.
    pub pilot_to_water_frac: f64,
    /// Loss of the tank up its flue while the burner is off, evenly over its height, in W/K.
    pub flue_w_k: f64,
}

/// A heat pump with its condenser round or in a part of the tank.
///
/// Heating power and COP follow the air and the mean temperature of the water beside the condenser; the condenser's heat
/// enters at its lower end and rises, as the coldest water takes most of it. That the heat pump cools its room is not
/// modelled: the room is as the conditions say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatPumpSpec {
    /// Height of the condenser's upper end; its lower end is the element's height.
    pub condenser_top_frac: f64,
    /// Heat into the water per electricity at the rating point, above 0.
    pub cop: f64,
    /// Heating power relative to that at the rating point.
    pub power_map: MapSpec,
    /// COP relative to that at the rating point.
    pub cop_map: MapSpec,
    /// Coldest and warmest air in which the compressor runs, in degC.
    pub air_c: (f64, f64),
}

/// Quadratic surface over air and water temperature, as laboratories fit it to measured points: 1 at the rating point
/// [`MapSpec::RATING_AIR_C`], [`MapSpec::RATING_WATER_C`]. Water counts as no colder and no warmer than
/// [`MapSpec::WATER_C`], and the surface as no less than [`MapSpec::LEAST`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapSpec {
    /// Change with the air in 1/K.
    pub air_per_k: f64,
    /// With its square in 1/K2.
    pub air_per_k2: f64,
    /// Change with the water in 1/K.
    pub water_per_k: f64,
    /// With its square in 1/K2.
    pub water_per_k2: f64,
    /// With both in 1/K2.
    pub both_per_k2: f64,
}

/// A heater that warms the drawn water on its way from the last tank to the tap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlowHeaterSpec {
    /// What it buys.
    pub energy: Energy,
    /// Most heat into the water in W.
    pub power_w: f64,
    /// Least heat into the water in W: where less is missing it does not light.
    pub least_w: f64,
    /// Heat into the water per energy bought, above 0 and at most 1.
    pub efficiency_frac: f64,
    /// Temperature it heats the water to, in degC.
    pub set_c: f64,
    /// Water that comes hotter than this, in degC, does not light it; `None`: no limit.
    pub inlet_limit_c: Option<f64>,
    /// Electric power all the time in W.
    pub standby_w: f64,
}

/// What a heater buys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Energy {
    /// Electricity.
    Electricity,
    /// Gas or another fuel, by its upper heating value as it is billed.
    Fuel,
}
