//! The one table of columns: key, unit, label and definition of every number a run reports.
//!
//! Headers of CSV files, keys of `summary.json`, axes of pictures, tables of the report and `suncask columns` all come from
//! here.

/// How the values of short spans make the value of a longer one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gather {
    /// They add up.
    Sum,
    /// The largest counts.
    Max,
    /// The smallest counts.
    Min,
    /// Mean over time.
    Mean,
    /// Worked out again from other columns of the longer span.
    Derived,
}

/// What a reader needs to know about a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ColumnInfo {
    /// Key in files; its end names the unit.
    pub key: &'static str,
    /// Unit as printed.
    pub unit: &'static str,
    /// Short label in the trade's words.
    pub label: &'static str,
    /// One sentence that settles what is counted.
    pub definition: &'static str,
    /// How spans combine.
    pub gather: Gather,
}

macro_rules! columns {
    ($($name:ident $key:literal $unit:literal $gather:ident $label:literal $definition:literal;)*) => {
        /// A reported quantity.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Column {
            $(#[doc = $definition] $name,)*
        }

        impl Column {
            /// Every column in the order of files and tables.
            pub const ALL: &'static [Column] = &[$(Column::$name,)*];

            /// Key, unit, label and definition.
            pub const fn info(self) -> ColumnInfo {
                match self {
                    $(Column::$name => ColumnInfo {
                        key: $key, unit: $unit, label: $label, definition: $definition, gather: Gather::$gather,
                    },)*
                }
            }
        }
    };
}

columns! {
    Ghi "ghi_kwh_m2" "kWh/m2" Sum "Sun on level ground" "Global irradiation on the horizontal, as the weather file gives it.";
    Dhi "dhi_kwh_m2" "kWh/m2" Sum "Sky light on level ground" "Diffuse irradiation on the horizontal, as the weather file gives it.";
    Air "air_c" "degC" Mean "Outdoor air" "Mean outdoor air temperature.";
    ColdWater "cold_water_c" "degC" Mean "Incoming cold water" "Mean temperature of the incoming cold water over time.";
    Sun "sun_on_collectors_kwh" "kWh" Sum "Sun on the collectors" "Irradiation on the whole reference area of the collectors, before any loss.";
    SunBeam "sun_beam_kwh" "kWh" Sum "Direct sun on the collectors" "Beam part of the sun on the collectors.";
    SunSky "sun_sky_kwh" "kWh" Sum "Sky light on the collectors" "Sky part of the sun on the collectors, the bright ring round the sun included.";
    SunGround "sun_ground_kwh" "kWh" Sum "Ground light on the collectors" "Part of the sun on the collectors that the ground reflects.";
    Absorbed "absorbed_kwh" "kWh" Sum "Sun absorbed" "Sun taken up after angle modifiers and peak efficiency, before heat loss.";
    CollectorLoss "collector_loss_kwh" "kWh" Sum "Collector heat loss" "Heat the collectors lost to the air, running or standing.";
    CollectorHeat "collector_heat_kwh" "kWh" Sum "Heat from the collectors" "Heat the fluid gained in the collectors while the pump ran, negative moments included.";
    SupplyLoss "supply_pipe_loss_kwh" "kWh" Sum "Supply pipe loss" "Heat lost by the pipe to the collectors, running and standing.";
    ReturnLoss "return_pipe_loss_kwh" "kWh" Sum "Return pipe loss" "Heat lost by the pipe from the collectors, running and standing.";
    HeatIntoTank "heat_into_tank_kwh" "kWh" Sum "Solar heat into the tank" "Heat the collector loop gave up in or at the tank.";
    TankLoss "tank_loss_kwh" "kWh" Sum "Tank loss" "Heat lost through the skins, fittings and flues of all tanks.";
    FlueLoss "flue_loss_kwh" "kWh" Sum "Flue loss" "Part of the tank loss that went up the flue of a gas heater while its burner was off; 0 where there is none.";
    Tank1Loss "tank_1_loss_kwh" "kWh" Sum "Loss of the first tank" "Heat lost by the tank the sun heats.";
    Tank2Loss "tank_2_loss_kwh" "kWh" Sum "Loss of the second tank" "Heat lost by the second tank; 0 where there is none.";
    BetweenLoss "pipe_between_loss_kwh" "kWh" Sum "Loss of the pipe between the tanks" "Heat lost by the pipe from the first tank to the second, flowing and standing; 0 where there is none.";
    RecirculationLoss "recirculation_loss_kwh" "kWh" Sum "Recirculation loss" "Heat lost by the recirculation loop through the house, running and standing; 0 where there is none.";
    Transferred "transferred_kwh" "kWh" Sum "Heat moved to the second tank" "Heat the transfer pump brought from the first tank to the second; 0 where there is none.";
    Load "load_kwh" "kWh" Sum "Hot water wanted" "Heat to bring the drawn water from the incoming cold to the tap temperature.";
    Delivered "delivered_kwh" "kWh" Sum "Hot water delivered" "Heat that came with the drawn water.";
    Shortfall "shortfall_kwh" "kWh" Sum "Shortfall" "Part of the hot water wanted that was missing because the water came too cool, judged behind the last heater.";
    ShortfallMinutes "shortfall_minutes" "min" Sum "Minutes short" "Time of draws during which the water leaving the tank was at or below the tap temperature; with a flow-through heater that fires, below it behind that heater.";
    CoolShowerMinutes "cool_shower_minutes" "min" Sum "Cool-shower minutes" "Time of shower and bath draws delivered below the usable temperature (105 F unless the job says otherwise), or below the temperature asked for where that is lower. Water spread thinner than 1 gal/min counts by its volume at that flow.";
    CoolestShower "coolest_shower_below_k" "K" Max "Coolest shower, below what was asked" "How far the coolest shower or bath draw came below the temperature asked for, as the mean of a draw or of a piece of it; a use spread over its hours counts too. 0 where none was short.";
    CoolShowerVolume "cool_shower_l" "L" Sum "Cool shower water" "Volume of those draws at the tap.";
    TapVolume "hot_water_use_l" "L" Sum "Water at the taps" "Volume drawn at the taps at tap temperature.";
    BackupPurchased "backup_purchased_kwh" "kWh" Sum "Backup energy bought" "Electricity and fuel bought for backup heat, added up.";
    BackupElectric "backup_electric_kwh" "kWh" Sum "Backup electricity" "Electricity bought for backup heat: elements, heat pump, electric flow-through heater, and the standby of any flow-through heater.";
    BackupFuel "backup_fuel_kwh" "kWh" Sum "Backup fuel" "Fuel bought for backup heat, pilots included, by its upper heating value as it is billed (1 therm is 29.3 kWh).";
    BackupHeat "backup_heat_kwh" "kWh" Sum "Backup heat" "Heat the backup put into water.";
    ElementHeat "element_heat_kwh" "kWh" Sum "Heat of the elements" "Part of the backup heat that came from electric elements in a tank.";
    BurnerHeat "burner_heat_kwh" "kWh" Sum "Heat of the burner" "Part of the backup heat that came from a gas burner under a tank, its pilot included.";
    HeatPumpHeat "heat_pump_heat_kwh" "kWh" Sum "Heat of the heat pump" "Part of the backup heat that came from a heat pump.";
    FlowHeaterHeat "flow_heater_heat_kwh" "kWh" Sum "Heat of the flow-through heater" "Part of the backup heat that a flow-through heater put into the water on its way to the taps.";
    Pump "pump_kwh" "kWh" Sum "Pump electricity" "Electricity of the pumps of the solar plant, the transfer pump included.";
    RecirculationPump "recirculation_pump_kwh" "kWh" Sum "Recirculation pump electricity" "Electricity of the recirculation pump; the house without sun pays it too, so that it is in no saving.";
    PumpHeat "pump_heat_kwh" "kWh" Sum "Warmth of the pumps" "Part of the electricity of all pumps, that of recirculation included, which warmed fluid or water.";
    Control "control_kwh" "kWh" Sum "Controller electricity" "Standing electricity of the controller.";
    PumpStarts "pump_starts" "-" Sum "Pump starts" "Number of starts of the loop pump.";
    PumpHours "pump_hours" "h" Sum "Pump hours" "Time the loop pump ran.";
    Refills "loop_refills" "-" Sum "Refills of the loop" "Number of times a drained loop was filled; 0 where it stands full.";
    FreezeHeat "freeze_protection_kwh" "kWh" Sum "Heat against frost" "Heat taken from the tank to keep the collectors from freezing.";
    NightCooling "night_cooling_kwh" "kWh" Sum "Night cooling" "Heat taken from an overheated tank and given to the night through the collectors.";
    DumpHeat "heat_dump_kwh" "kWh" Sum "Heat dumped" "Heat of the loop that went to its dump in place of the tank.";
    BackFlow "night_back_flow_kwh" "kWh" Sum "Night back-flow" "Heat that left the tank because the loop's fluid ran backwards by itself.";
    HottestTank "hottest_tank_c" "degC" Max "Hottest tank" "Highest slice temperature of the first tank.";
    HottestOutlet "hottest_outlet_c" "degC" Max "Hottest water at the outlet" "Highest temperature of the slice that hot water leaves the last tank from, seen at least once an hour.";
    HottestThermostat "hottest_thermostat_c" "degC" Max "Hottest backup thermostat" "Highest temperature of a slice that a thermostat of the backup sits in, seen at least once an hour; 0 where there is none.";
    MeanTank "mean_tank_c" "degC" Mean "Mean tank" "Time mean of the first tank's mean temperature.";
    TankTop "tank_top_c" "degC" Mean "Tank top" "Mean temperature of the first tank's top slice.";
    TankMiddle "tank_middle_c" "degC" Mean "Tank middle" "Mean temperature of the first tank's middle slice.";
    TankBottom "tank_bottom_c" "degC" Mean "Tank bottom" "Mean temperature of the first tank's bottom slice.";
    Collector "collector_c" "degC" Mean "Collector" "Mean temperature at the collector's outlet end.";
    HottestCollector "hottest_collector_c" "degC" Max "Hottest collector" "Highest temperature at the collector's outlet end.";
    ColdestTank "coldest_tank_c" "degC" Min "Coldest tank water" "Lowest temperature of any tank's bottom slice.";
    AboveLimit "hours_above_limit" "h" Sum "Hours above the high limit" "Time the hottest slice of the first tank was at or above the controller's high limit.";
    Stagnation "stagnation_hours" "h" Sum "Stagnation hours" "Time with over 100 W/m2 on the collectors, the pump held off by a limit and the collector above 120 degC (248 F).";
    LukewarmHours "tank_25_45_hours" "h" Sum "Tank between 77 and 113 F" "Time the first tank's mean temperature lay between 25 and 45 degC (77 and 113 F).";
    LukewarmSpell "longest_25_45_hours" "h" Max "Longest spell between 77 and 113 F" "Longest unbroken time the coldest slice of the first tank lay between 25 and 45 degC (77 and 113 F).";
    Tank2LukewarmHours "tank_2_25_45_hours" "h" Sum "Second tank between 77 and 113 F" "The same for the second tank's mean temperature; 0 without one.";
    Tank2LukewarmSpell "longest_tank_2_25_45_hours" "h" Max "Second tank's longest spell there" "The same for the coldest slice of the second tank; 0 without one.";
    StoredChange "stored_change_kwh" "kWh" Sum "Change in stored heat" "Heat in tanks, pipes and collectors at the end minus at the start.";
    BaselinePurchased "baseline_purchased_kwh" "kWh" Sum "Heater without sun buys" "Energy the heater the job compares with would have bought for the same hot water.";
    Saved "saved_kwh" "kWh" Sum "Energy saved" "Energy the heater without sun buys, minus backup, pumps and controller.";
    EqualServiceSaved "equal_service_saved_kwh" "kWh" Sum "Energy saved at equal service" "Energy saved, minus the shortfall as the heater without sun would have bought it.";
    SavingsFraction "savings_fraction" "-" Derived "Savings fraction" "Energy saved divided by what the heater without sun buys.";
    EqualServiceFraction "equal_service_savings_fraction" "-" Derived "Savings fraction at equal service" "Energy saved at equal service divided by what the heater without sun buys.";
    SolarFraction "solar_fraction" "-" Derived "Solar fraction" "1 minus backup heat divided by heat delivered; hot water that did not come does not lower it.";
    BalanceResidual "balance_residual" "-" Max "Balance residual" "Largest misfit of the energy balance of any component, relative to the year's absolute inputs.";
}

impl Column {
    /// Number of columns.
    pub const COUNT: usize = Self::ALL.len();

    /// Position in [`Column::ALL`].
    pub const fn index(self) -> usize {
        self as usize
    }
}
