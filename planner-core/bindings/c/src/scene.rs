//! Scenes.

use crate::ClamberStatus;
use crate::border::{asked, free, give_handle, give_text, guarded, handle, refused, text};
use clamber_core::{FileFormat, Problem, Scenario, read_scenario, write_scenario};
use std::ffi::c_char;
use std::ptr;
use std::sync::Arc;

/// A scene: site, crew, start and goal. It does not change; any number of threads may use it.
pub struct ClamberScene {
    pub(crate) scenario: Arc<Scenario>,
    pub(crate) problem: Arc<Problem>,
}

/// Reads the text of a scene, TOML or JSON. `name` is that of the file, for messages.
///
/// # Safety
/// The texts end in a zero byte; `scene` points to room for a handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_scene_read(
    name: *const c_char,
    toml: *const c_char,
    scene: *mut *mut ClamberScene,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let (name, toml) = unsafe { (text("name", name)?, text("toml", toml)?) };
        let (scenario, problem) = read_scenario(name, toml).map_err(refused)?;
        let read = ClamberScene { scenario: Arc::new(scenario), problem: Arc::new(problem) };
        // SAFETY: as the caller promises.
        unsafe { give_handle("scene", scene, read) }
    })
}

/// The number of modules; 0 for NULL.
///
/// # Safety
/// The handle is NULL or valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_scene_modules(scene: *const ClamberScene) -> usize {
    // SAFETY: as the caller promises.
    asked(0, || Ok(unsafe { handle("scene", scene) }?.problem.modules.len()))
}

/// The name of a module, to be freed; NULL for one that there is not.
///
/// # Safety
/// The handle is NULL or valid.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_scene_module_name(scene: *const ClamberScene, module: usize) -> *mut c_char {
    asked(ptr::null_mut(), || {
        // SAFETY: as the caller promises.
        let scene = unsafe { handle("scene", scene) }?;
        let mut name = ptr::null_mut();
        if let Some(module) = scene.problem.modules.get(module) {
            // SAFETY: it is a local variable.
            unsafe { give_text("name", &raw mut name, module.name.clone()) }?;
        }
        Ok(name)
    })
}

/// The scene as TOML, to be freed.
///
/// # Safety
/// The handle is NULL or valid; `toml` points to room for a pointer.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_scene_text(
    scene: *const ClamberScene,
    toml: *mut *mut c_char,
) -> ClamberStatus {
    guarded(|| {
        // SAFETY: as the caller promises.
        let scene = unsafe { handle("scene", scene) }?;
        let written = write_scenario(&scene.scenario, FileFormat::Toml).map_err(refused)?;
        // SAFETY: as the caller promises.
        unsafe { give_text("toml", toml, written) }
    })
}

/// Frees a scene. Plans that were made of it stay.
///
/// # Safety
/// The handle is NULL or valid, and is not used afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn clamber_scene_free(scene: *mut ClamberScene) {
    // SAFETY: as the caller promises.
    unsafe { free(scene) };
}
